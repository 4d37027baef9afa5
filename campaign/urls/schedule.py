"""URLs of the show's days: the schedule in the studio, and the calendar behind its secret link."""

from django.urls import path

from campaign.views import calendar, deadlines, schedule

D = "studio/<slug:show_code>/measure/days/"

urlpatterns = [
    path(D, schedule.schedule, name="schedule"),
    path(f"{D}steps/", schedule.steps, name="schedule_steps"),
    path(f"{D}closed/", schedule.closed_days, name="closed_days"),
    path(f"{D}link/", schedule.renew_link, name="renew_calendar_link"),
    path(f"{D}deadlines/new/", deadlines.new_deadline, name="new_deadline"),
    path(f"{D}deadlines/<uuid:uid>/", deadlines.deadline, name="deadline"),
    path(f"{D}deadlines/<uuid:uid>/done/", deadlines.meet_deadline, name="meet_deadline"),
    path(f"{D}deadlines/<uuid:uid>/take-out/", deadlines.delete_deadline, name="delete_deadline"),
    path("calendar/<str:token>.ics", calendar.feed, name="calendar"),
]
