"""The addresses of jobs."""

from django.urls import URLPattern, path

from jobs.views import fitting, ledger
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
]
