from django.urls import path

from orders.blanks import views

urlpatterns = [
    path("blanks/", views.blanks, name="blanks"),
    path("blanks/new/", views.new_blank, name="new-blank"),
    path("blanks/<int:pk>/", views.blank, name="blank"),
    path("blanks/<int:pk>/edit/", views.edit_blank, name="edit-blank"),
    path("blanks/<int:pk>/stock/", views.blank_stock, name="blank-stock"),
    path("blanks/<int:pk>/retire/", views.retire_blank, name="retire-blank"),
    path("specs/<int:pk>/blanks/", views.spec_blanks, name="spec-blanks"),
    path("specs/<int:pk>/blanks/reserve/", views.reserve_blank, name="reserve-blank"),
    path("specs/<int:pk>/blanks/let-go/", views.let_blank_go, name="let-blank-go"),
]
