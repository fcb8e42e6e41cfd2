"""The addresses of warranties."""

from django.urls import URLPattern, path

from warranties.views import callbacks, checking

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
]
