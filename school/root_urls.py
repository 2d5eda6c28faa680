"""Every address of the site. Django's admin is not mounted: it would go round the access door."""

from django.urls import include, path

urlpatterns = [
    path("", include("school.urls")),
    path("", include("curriculum.urls")),
    path("", include("lessons.urls")),
]

handler403 = "school.views.errors.forbidden"
handler404 = "school.views.errors.not_found"
handler500 = "school.views.errors.broken"
