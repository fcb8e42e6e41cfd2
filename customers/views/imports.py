"""Tables of homes: sent, matched, looked at, brought in, their refused rows taken back."""

from django.core.paginator import Paginator
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import now
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from customers import tasks
from customers.actions import importing
from customers.forms import ColumnsForm, TableForm
from customers.models import ImportRun
from shared.answers import done, made, tried
from shared.exports import FORMATS, exported
from shared.requests import StaffRequest
from shared.roles import allowed

SHOWN = 25
REASONS_SHOWN = 5
HERE = 15  # seconds that a page works by itself where no worker can be asked


@allowed("keep_homes")
@require_http_methods(["GET", "HEAD", "POST"])
def imports(request: StaffRequest) -> HttpResponseBase:
    """The tables that were brought in, and the form that takes a new one."""
    form = TableForm(request.POST or None, request.FILES or None)

    def load() -> ImportRun:
        sent = form.cleaned_data["file"]
        return importing.load_table(file=sent, name=sent.name, by=request.user)

    if run := made(form, load, at="file"):
        return redirect("import-columns", run.pk)
    status = 422 if request.method == "POST" else 200
    runs = Paginator(ImportRun.objects.select_related("by").order_by("-pk"), SHOWN)
    page = {"form": form, "runs": runs.get_page(request.GET.get("page"))}
    return render(request, "customers/imports.html", page, status=status)


@allowed("keep_homes")
@require_GET
def one(request: StaffRequest, pk: int) -> HttpResponseBase:
    """How far a table is, and what became of it."""
    run = get_object_or_404(ImportRun, pk=pk)
    if run.state == "loaded":
        return redirect("import-columns", pk)
    template = "customers/_import_state.html" if request.htmx else "customers/import.html"
    page = {
        "run": run,
        "stale": importing.is_stale(run, now()),
        "refused": run.refused.all()[:REASONS_SHOWN],
    }
    return render(request, template, page)


@allowed("keep_homes")
@require_http_methods(["GET", "HEAD", "POST"])
def columns(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Which column holds what: guessed, to be changed."""
    run = get_object_or_404(ImportRun, pk=pk)
    if run.state != "loaded":
        return redirect(run)
    form = ColumnsForm(request.POST or None, run=run)
    if done(form, lambda: importing.match_columns(run=run, columns=form.columns())):
        return redirect("import-preview", pk)
    status = 422 if request.method == "POST" else 200
    return render(
        request, "customers/import_columns.html", {"run": run, "form": form}, status=status
    )


@allowed("keep_homes")
@require_GET
def preview(request: StaffRequest, pk: int) -> HttpResponseBase:
    """The first rows as they will be read."""
    run = get_object_or_404(ImportRun, pk=pk)
    if run.state != "loaded":
        return redirect(run)
    page = {"run": run, "preview": importing.preview(run=run, at=now())}
    return render(request, "customers/import_preview.html", page)


@allowed("keep_homes")
@require_POST
def start(request: StaffRequest, pk: int) -> HttpResponse:
    """Begin, or go on where it stopped: with a worker where one can be asked, else here."""
    run = get_object_or_404(ImportRun, pk=pk)
    stale = importing.is_stale(run, now())
    begun = tried(request, lambda: importing.start(run=run, at=now(), again=stale))
    if begun and (stale or not tasks.bring_in_soon(pk)):
        importing.advance(run=run, at=now(), seconds=HERE)
    return redirect(run)


@allowed("keep_homes")
@require_GET
def refused(_request: StaffRequest, pk: int, form: str) -> HttpResponseBase:
    """The refused rows as a file, the reasons first: to be corrected and sent again."""
    run = get_object_or_404(ImportRun, pk=pk)
    if form not in FORMATS:
        raise Http404("No such format.")
    headings, rows = importing.refused_rows(run=run)
    name = run.name.rpartition(".")[0] or run.name
    return exported(form, f"{name}-refused", headings, rows)


@allowed("keep_homes")
@require_POST
def forget(request: StaffRequest, pk: int) -> HttpResponse:
    """Take a table away, with its file and its refused rows; its homes stay."""
    run = get_object_or_404(ImportRun, pk=pk)
    said = f"“{run.name}” is forgotten. The homes that it brought in stay."
    forgotten = tried(request, lambda: importing.forget(run=run), said=said)
    return redirect("imports") if forgotten else redirect("import", pk)
