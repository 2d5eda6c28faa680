from lessons.views.health import health
from school.access import page

app_name = "lessons"
urlpatterns = [
    # whether the house stands
    page("health/", health, app=app_name, name="health"),
]
