"""The owner keeps accounts here; everything else has its own pages."""

from allauth.account.decorators import secure_admin_login
from django.contrib import admin
from django.contrib.auth.admin import UserAdmin

from shared.models import User

admin.site.register(User, UserAdmin)
# One way in: Django's own form would ask for a password and never for the second factor.
admin.site.login = secure_admin_login(admin.site.login)  # type: ignore[method-assign]
