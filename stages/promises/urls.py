from django.urls import path

from stages.promises import kept_views, views

urlpatterns = [
    path("promises/", kept_views.promises_kept, name="promises-kept"),
    path("promises/boards/", kept_views.promises_boards, name="promises-boards"),
    path("promises/day/", views.promise_day, name="promise-day"),
    path("promises/first/", views.promise_first, name="promise-first"),
]
