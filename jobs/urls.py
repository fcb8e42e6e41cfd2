"""The addresses of jobs."""

from django.urls import URLPattern, path

from jobs.views import agreeing, diary, fitting, jobs, keeping, ledger, offers, tray
from jobs.views import round as rounds

urlpatterns: list[URLPattern] = [
    path("round/", rounds.round_of_the_day, name="round"),
    path("round/stops/<int:pk>/arrive/", rounds.arrive, name="stop-arrive"),
    path("round/stops/<int:pk>/leave/", rounds.leave, name="stop-leave"),
    path("round/stops/<int:pk>/again/", rounds.take_up_again, name="stop-again"),
    path("jobs/<str:number>/fitting/", fitting.page, name="fitting"),
    path("jobs/<str:number>/fitting/mark/", fitting.mark, name="fitting-mark"),
    path("jobs/<str:number>/fitting/<int:pk>/unmark/", fitting.unmark, name="fitting-unmark"),
    path("jobs/<str:number>/fitting/material/", fitting.add_material, name="fitting-material"),
    path("jobs/<str:number>/fitting/hours/", fitting.add_hours, name="fitting-hours"),
    path("jobs/<str:number>/fitting/costs/<int:pk>/", fitting.take_back, name="fitting-cost-back"),
    path("jobs/<str:number>/fitting/finish/", fitting.finish, name="fitting-finish"),
    path("jobs/<str:number>/fitting/proof/", fitting.prove, name="fitting-proof"),
    path("jobs/<str:number>/fitting/hand-over/", fitting.hand_over, name="fitting-hand-over"),
    path("ledger/", ledger.ledger, name="ledger"),
    path("tray/", tray.tray, name="tray"),
    path("jobs/new/", jobs.new, name="job-new"),
    path("jobs/<str:number>/", jobs.job, name="job"),
    path("jobs/<str:number>/measured/", jobs.measured, name="job-measured"),
    path("jobs/<str:number>/close/", jobs.close, name="job-close"),
    path("jobs/<str:number>/payments/", jobs.pay, name="job-pay"),
    path("jobs/<str:number>/offers/", offers.new, name="offer-new"),
    path("payments/<int:pk>/", jobs.receipt, name="receipt"),
    path("offers/<str:number>/", offers.offer, name="offer"),
    path("offers/<str:number>/paper/", offers.paper, name="offer-paper"),
    path("offers/<str:number>/send/", offers.send, name="offer-send"),
    path("offers/<str:number>/waiver/", agreeing.waive, name="offer-waiver"),
    path("offers/<str:number>/link/", agreeing.link, name="offer-link"),
    path("agree/<str:token>/", agreeing.agree, name="offer-agree"),
    path("offers/<str:number>/agreed/", offers.agree, name="offer-agreed"),
    path("offers/<str:number>/declined/", offers.decline, name="offer-declined"),
    path("offers/<str:number>/replace/", offers.replace, name="offer-replace"),
    path("diary/", diary.diary, name="diary"),
    path("visits/<int:pk>/", diary.visit, name="visit"),
    path("visits/<int:pk>/cancel/", diary.cancel, name="visit-cancel"),
    path("visits/<int:pk>/calendar/", diary.calendar, name="visit-calendar"),
    path("prices/", keeping.prices, name="prices"),
    path("prices/<int:pk>/", keeping.book, name="price-book"),
    path("crews/", keeping.crews, name="crews"),
    path("crews/<int:pk>/", keeping.crew, name="crew"),
]
