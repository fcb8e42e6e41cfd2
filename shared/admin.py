"""The owner keeps accounts here; everything else has its own pages."""

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin

from shared.models import User

admin.site.register(User, UserAdmin)
