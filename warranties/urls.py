"""The addresses of warranties."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
