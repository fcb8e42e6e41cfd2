"""The addresses of warranties."""

from django.urls import URLPattern, path

from warranties.views import checking

urlpatterns: list[URLPattern] = [
    path("check/", checking.check_any, name="check-any"),
    path("check/<str:number>/", checking.check, name="check"),
]
