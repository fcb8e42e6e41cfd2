"""Every address. Each app names its own; apps are named here as strings only."""

from django.contrib import admin
from django.urls import URLPattern, URLResolver, include, path

from shared import views

urlpatterns: list[URLPattern | URLResolver] = [
    path("", views.start, name="start"),
    path("health/", views.health, name="health"),
    path("people/", views.people, name="people"),
    path("people/new/", views.person, name="person-new"),
    path("people/<str:username>/", views.person, name="person"),
    path("account/", include("allauth.account.urls")),
    path("account/mfa/", include("allauth.mfa.urls")),
    path("accounts-desk/", admin.site.urls),
    path("", include("customers.urls")),
    path("", include("jobs.urls")),
    path("", include("warranties.urls")),
]
