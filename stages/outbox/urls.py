from django.urls import path

from stages.outbox import views, worker_views

urlpatterns = [
    path("sw.js", worker_views.worker, name="worker"),
    path("scan/unkept/", worker_views.unkept, name="unkept"),
    path("scan/hello/", views.hello, name="hello"),
    path("scan/batch/", views.batch, name="batch"),
    path("scan/keep/", views.keep, name="keep"),
    path("scan/clashes/", views.all_clashes, name="clashes"),
    path("scan/clashes/<int:pk>/settle/", views.settle_clash, name="settle-clash"),
]
