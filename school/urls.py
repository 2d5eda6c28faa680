from django.urls import URLPattern

app_name = "school"
urlpatterns: list[URLPattern] = []
