"""How forms are drawn everywhere: one template, labels above, errors beside their field."""

from django.forms.renderers import TemplatesSetting


class FormRenderer(TemplatesSetting):
    form_template_name = "shared/form.html"
    field_template_name = "shared/field.html"
