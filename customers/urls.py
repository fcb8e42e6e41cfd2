"""The addresses of customers."""

from django.urls import URLPattern, path

from customers.views import photos

urlpatterns: list[URLPattern] = [
    path("photos/<int:pk>/", photos.photo, name="photo"),
]
