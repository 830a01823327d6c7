from django.urls import path

from orders.orderbook import alike_views, form_views, views

urlpatterns = [
    path("orders/", views.orders, name="orders"),
    path("orders/new/", form_views.new_order, name="new-order"),
    path("orders/draw/", form_views.draw_board, name="draw-board"),
    path("orders/fill/", form_views.fill_board, name="fill-board"),
    path("orders/<int:number>/", views.order, name="order"),
    path("orders/<int:number>/boards/new/", form_views.add_board, name="add-board"),
    path("orders/<int:number>/arrivals/", views.note_arrival, name="note-arrival"),
    path("orders/<int:number>/payments/", views.take_payment, name="take-payment"),
    path("orders/<int:number>/discounts/", views.give_discount, name="give-discount"),
    path("discounts/<int:pk>/withdraw/", views.withdraw_discount, name="withdraw-discount"),
    path("orders/<int:number>/signed/", views.note_signed, name="note-signed"),
    path("boards/<int:number>/price/", views.change_price, name="change-price"),
    path("orders/<int:number>/terms/", views.order_terms, name="order-terms"),
    path("orders/<int:number>/cancel/", views.cancel_order, name="cancel-order"),
    path("orders/<int:number>/confirmation.pdf", views.confirmation, name="confirmation"),
    path("boards/<int:number>/alike/", alike_views.alike_boards, name="alike-boards"),
    path("boards/<int:number>/alike/cancel/", alike_views.cancel_alike, name="cancel-boards"),
    path("boards/<int:number>/change/", form_views.change_board, name="change-board"),
]
