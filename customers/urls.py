"""The addresses of customers."""

from django.urls import path

from customers.views import homes, households, imports, links, photos, plan_papers, plans

urlpatterns = [
    path("homes/", homes.homes, name="homes"),
    path("homes/new/", homes.home_new, name="home-new"),
    path("homes/<int:pk>/", homes.home, name="home"),
    path("homes/<int:pk>/change/", homes.home_change, name="home-change"),
    path("homes/<int:pk>/household/", households.household_change, name="household-change"),
    path("homes/<int:pk>/another/", homes.home_another, name="home-another"),
    path("homes/<int:pk>/owners/new/", households.owner_add, name="owner-add"),
    path("homes/<int:pk>/owner/", households.owner_change, name="owner-change"),
    path("homes/<int:pk>/consent/", households.consent, name="home-consent"),
    path("homes/<int:pk>/paper/", households.withdraw_paperless, name="paperless-withdraw"),
    path("homes/<int:pk>/links/", links.make, name="home-links"),
    path("homes/<int:pk>/links/<int:link>/revoke/", links.revoke, name="home-link-revoke"),
    path("homes/<int:pk>/plan/", plans.edit, name="plan-edit"),
    path("homes/<int:pk>/plan/undo/", plans.undo, name="plan-undo"),
    path("homes/<int:pk>/plan/close/", plans.close, name="plan-close"),
    path("homes/<int:pk>/plan/<str:panel>/", plans.edit, name="plan-panel"),
    path("homes/<int:pk>/plans/", plan_papers.compare, name="plan-compare"),
    path("homes/<int:pk>/plans/<slug:stage>/", plan_papers.paper, name="plan-paper"),
    path("homes/<int:pk>/plans/<slug:stage>.svg", plan_papers.svg, name="plan-svg"),
    path("homes/<int:pk>/plans/<slug:stage>.dxf", plan_papers.dxf, name="plan-dxf"),
    path("imports/", imports.imports, name="imports"),
    path("imports/<int:pk>/", imports.one, name="import"),
    path("imports/<int:pk>/columns/", imports.columns, name="import-columns"),
    path("imports/<int:pk>/preview/", imports.preview, name="import-preview"),
    path("imports/<int:pk>/start/", imports.start, name="import-start"),
    path("imports/<int:pk>/refused/<str:form>/", imports.refused, name="import-refused"),
    path("imports/<int:pk>/forget/", imports.forget, name="import-forget"),
    path("photos/<int:pk>/", photos.photo, name="photo"),
]
