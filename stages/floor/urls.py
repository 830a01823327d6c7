from django.urls import path

from stages.floor import (
    board_views,
    change_views,
    fin_views,
    hand_over_views,
    release_views,
    views,
)

urlpatterns = [
    path("floor/", views.floor, name="floor"),
    path("floor/racks/", views.floor_racks, name="floor-racks"),
    path("release/", release_views.release, name="release"),
    path("release/printed/", release_views.released, name="released"),
    path("tickets.pdf", release_views.tickets, name="tickets-pdf"),
    path("boards/<int:number>/", board_views.board, name="board"),
    path("boards/<int:number>/progress/", board_views.progress, name="progress"),
    path("boards/<int:number>/hand-over/", hand_over_views.hand_over_board, name="board-hand-over"),
    path("boards/<int:number>/hold/", board_views.hold, name="board-hold"),
    path("boards/<int:number>/let-go/", board_views.let_go, name="board-let-go"),
    path("boards/<int:number>/promise/", board_views.promise, name="board-promise"),
    path("boards/<int:number>/cancel/", board_views.cancel, name="board-cancel"),
    path("boards/<int:number>/paper/", board_views.paper, name="board-paper"),
    path("boards/<int:number>/fins/", fin_views.change_fins, name="board-fins"),
    path("boards/<int:number>/numbers/", change_views.change, name="board-change"),
]
