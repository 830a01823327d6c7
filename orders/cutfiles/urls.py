from django.urls import path

from orders.cutfiles import views

urlpatterns = [
    path("specs/<int:pk>/files/", views.files, name="cut-files"),
    path("specs/<int:pk>/files/add/", views.add, name="add-cut-file"),
    path("cut-files/<int:pk>/", views.download, name="cut-file"),
    path("cut-files/<int:pk>/use/", views.acknowledge, name="use-cut-file"),
    path("cut-files/<int:pk>/set-aside/", views.set_aside, name="set-aside-cut-file"),
]
