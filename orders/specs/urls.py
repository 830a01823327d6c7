from django.urls import path

from orders.specs import paper_views, views

urlpatterns = [
    path("specs/<int:pk>/", views.spec, name="spec"),
    path("specs/<int:pk>/template.pdf", paper_views.template, name="spec-template"),
    path("specs/<int:pk>/outline.dxf", paper_views.outline_dxf, name="spec-dxf"),
    path("specs/<int:pk>/outline.svg", paper_views.outline_svg, name="spec-svg"),
]
