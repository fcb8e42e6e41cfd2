"""The addresses of warranties."""

from django.urls import URLPattern, path

from warranties.views import callbacks, checking, leaving, my_home

urlpatterns: list[URLPattern] = [
    path("check/", checking.check_any, name="check-any"),
    path("check/<str:number>/", checking.check, name="check"),
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
