"""Addresses of safety."""

from django.urls import path, re_path

from guiding.safety.views import incidents, library, papers

urlpatterns = [
    path("safety/hazards/", library.hazard_list, name="hazard_list"),
    path("safety/hazards/load/", library.hazard_load, name="hazard_load"),
    path("safety/hazards/new/", library.hazard, name="hazard_new"),
    path("safety/hazards/<int:pk>/", library.hazard, name="hazard"),
    path("safety/hazards/<int:pk>/words/", library.hazard_words, name="hazard_words"),
    path("safety/spots/<int:pk>/", library.spot_safety, name="spot_safety"),
    path("safety/papers/", papers.paper_list, name="paper_list"),
    path("safety/papers/new/", papers.paper, name="paper_new"),
    path("safety/papers/<int:pk>/", papers.paper, name="paper"),
    path("safety/papers/<int:pk>/withdraw/", papers.paper_withdraw, name="paper_withdraw"),
    path("safety/papers/<int:pk>/scan/", papers.paper_file, name="paper_file"),
    path("safety/papers/kinds/new/", papers.paper_kind, name="paper_kind_new"),
    path("safety/papers/kinds/<int:pk>/", papers.paper_kind, name="paper_kind"),
    path("safety/incidents/", incidents.incident_list, name="incident_list"),
    path("safety/incidents/new/", incidents.incident_new, name="incident_new"),
    path("safety/incidents/erase/", incidents.incident_erase, name="incident_erase"),
    path("safety/incidents/<int:pk>/", incidents.incident, name="incident"),
    path("safety/incidents/<int:pk>/report.pdf", incidents.incident_paper, name="incident_paper"),
    path("safety/incidents/<int:pk>/witness/", incidents.incident_witness, name="incident_witness"),
    path(
        "safety/incidents/<int:pk>/follow-up/",
        incidents.incident_follow_up,
        name="incident_follow_up",
    ),
    path("safety/follow-ups/<int:pk>/done/", incidents.follow_up_done, name="follow_up_done"),
    re_path(
        r"^safety/incidents/(?P<pk>\d+)/(?P<step>close|reopen)/$",
        incidents.incident_close,
        name="incident_close",
    ),
]
