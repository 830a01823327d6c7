from django.urls import path

from orders.specs import fin_views, paper_views, views

urlpatterns = [
    path("specs/<int:pk>/", views.spec, name="spec"),
    path("specs/<int:pk>/fins/", fin_views.fins, name="spec-fins"),
    path("specs/<int:pk>/fins/mark/", fin_views.mark_fins, name="spec-fins-mark"),
    path("specs/<int:pk>/template.pdf", paper_views.template, name="spec-template"),
    path("specs/<int:pk>/outline.dxf", paper_views.outline_dxf, name="spec-dxf"),
    path("specs/<int:pk>/outline.svg", paper_views.outline_svg, name="spec-svg"),
]
