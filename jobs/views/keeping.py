"""What the owner keeps: price books and crews."""

from datetime import timedelta

from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from jobs.actions import pricebooks
from jobs.forms.keeping import BookForm, CrewForm, NewBookForm, PriceFormSet
from jobs.models import Crew, PriceBook
from shared.answers import made
from shared.requests import StaffRequest
from shared.roles import allowed


@allowed("keep_firm")
@require_http_methods(["GET", "POST"])
def prices(request: StaffRequest) -> HttpResponse:
    """All price books; a POST begins a new one as a copy of the last."""
    today = timezone.localdate()
    tomorrow = today + timedelta(days=1)
    form = NewBookForm(request.POST or None, initial={"valid_from": tomorrow})
    if book := made(form, lambda: pricebooks.copy_book(**form.cleaned_data)):
        return redirect("price-book", pk=book.pk)
    books = list(PriceBook.objects.order_by("-valid_from"))
    page = {
        "books": books,
        "in_force": next((book for book in books if book.valid_from <= today), None),
        "form": form,
    }
    return render(request, "jobs/prices.html", page, status=422 if form.is_bound else 200)


@allowed("keep_firm")
@require_http_methods(["GET", "POST"])
def book(request: StaffRequest, pk: int) -> HttpResponse:
    """One price book. Offers made before keep the prices that they were made with."""
    book = get_object_or_404(PriceBook, pk=pk)
    form = BookForm(request.POST or None, instance=book)
    rows = PriceFormSet(request.POST or None, instance=book, prefix="prices")
    if form.is_valid() and rows.is_valid():
        with transaction.atomic():
            form.save()
            rows.save()
        messages.success(request, f"“{book.name}” is saved.")
        return redirect("price-book", pk=pk)
    page = {"book": book, "form": form, "rows": rows}
    return render(request, "jobs/price_book.html", page, status=422 if form.is_bound else 200)


@allowed("keep_firm")
@require_http_methods(["GET", "POST"])
def crews(request: StaffRequest) -> HttpResponse:
    """All crews; a POST makes a new one."""
    form = CrewForm(request.POST or None)
    if form.is_valid():
        form.save()
        return redirect("crews")
    page = {
        "crews": Crew.objects.prefetch_related("members").order_by("-active", "name"),
        "form": form,
    }
    return render(request, "jobs/crews.html", page, status=422 if form.is_bound else 200)


@allowed("keep_firm")
@require_http_methods(["GET", "POST"])
def crew(request: StaffRequest, pk: int) -> HttpResponse:
    crew = get_object_or_404(Crew, pk=pk)
    form = CrewForm(request.POST or None, instance=crew)
    if form.is_valid():
        form.save()
        messages.success(request, f"{crew.name} is saved.")
        return redirect("crews")
    page = {"crew": crew, "form": form}
    return render(request, "jobs/crew.html", page, status=422 if form.is_bound else 200)
