"""The addresses of customers."""

from django.urls import path

from customers.views import homes, households, imports, links, photos

urlpatterns = [
    path("homes/", homes.homes, name="homes"),
    path("homes/new/", homes.home_new, name="home-new"),
    path("homes/<int:pk>/", homes.home, name="home"),
    path("homes/<int:pk>/change/", homes.home_change, name="home-change"),
    path("homes/<int:pk>/household/", households.household_change, name="household-change"),
    path("homes/<int:pk>/owner/", households.owner_change, name="owner-change"),
    path("homes/<int:pk>/consent/", households.consent, name="home-consent"),
    path("homes/<int:pk>/links/", links.make, name="home-links"),
    path("homes/<int:pk>/links/<int:link>/revoke/", links.revoke, name="home-link-revoke"),
    path("imports/", imports.imports, name="imports"),
    path("imports/<int:pk>/", imports.one, name="import"),
    path("imports/<int:pk>/columns/", imports.columns, name="import-columns"),
    path("imports/<int:pk>/preview/", imports.preview, name="import-preview"),
    path("imports/<int:pk>/start/", imports.start, name="import-start"),
    path("imports/<int:pk>/refused/<str:form>/", imports.refused, name="import-refused"),
    path("imports/<int:pk>/forget/", imports.forget, name="import-forget"),
    path("photos/<int:pk>/", photos.photo, name="photo"),
]
