"""The addresses of warranties."""

from django.urls import URLPattern, path

from warranties.views import (
    callbacks,
    checking,
    leaving,
    my_home,
    promises,
    terms,
    transfers,
)

urlpatterns: list[URLPattern] = [
    path("check/", checking.check_any, name="check-any"),
    path("check/file/", checking.check_file, name="check-file"),
    path("check/<str:number>/", checking.check, name="check"),
    path("transfer/<str:token>/", transfers.transfer, name="transfer"),
    path("terms/", terms.all_terms, name="all-terms"),
    path("terms/drafts/", terms.drafts, name="terms-drafts"),
    path("terms/<str:paper>/<str:language>/new/", terms.terms_new, name="terms-new"),
    path("terms/<str:paper>/<str:language>/<int:version>/", terms.terms, name="terms"),
    path(
        "terms/<str:paper>/<str:language>/<int:version>/counsel/",
        terms.counsel,
        name="terms-counsel",
    ),
    path("check-plans/<str:number>.pdf", promises.check_plan, name="check-plan"),
    path("promises/", promises.promises, name="promises"),
    path("promises/<str:number>/", promises.promise, name="promise"),
    path(
        "promises/<str:number>/certificate-<int:edition>.pdf",
        promises.certificate,
        name="certificate",
    ),
    path("promises/<str:number>/issue/", promises.issue, name="promise-issue"),
    path("promises/<str:number>/suspend/", promises.suspend, name="promise-suspend"),
    path("promises/<str:number>/reinstate/", promises.reinstate, name="promise-reinstate"),
    path("promises/<str:number>/end/", promises.end, name="promise-end"),
    path("promises/<str:number>/transfer/drop/", promises.drop_transfer, name="transfer-drop"),
    path("callbacks/", callbacks.callbacks, name="callbacks"),
    path("callbacks/new/", callbacks.find, name="callback-find"),
    path("callbacks/new/<str:number>/", callbacks.new, name="callback-new"),
    path("callbacks/<str:number>/", callbacks.callback, name="callback"),
    path("callbacks/<str:number>/findings/", callbacks.findings, name="callback-findings"),
    path("callbacks/<str:number>/decision/", callbacks.decide, name="callback-decision"),
    path("callbacks/<str:number>/material/", callbacks.add_material, name="callback-material"),
    path("callbacks/<str:number>/hours/", callbacks.add_hours, name="callback-hours"),
    path("callbacks/<str:number>/close/", callbacks.close, name="callback-close"),
    path("my-home/<str:token>/", my_home.my_home, name="my-home"),
    path("my-home/<str:token>/mails/", my_home.mails, name="my-home-mails"),
    path("my-home/<str:token>/notices/<int:pk>/<str:said>/", my_home.answer, name="my-home-answer"),
    path(
        "my-home/<str:token>/certificates/<str:number>/",
        my_home.certificate,
        name="my-home-certificate",
    ),
    path("unsubscribe/<str:token>/", leaving.unsubscribe, name="unsubscribe"),
]
