"""The addresses under which vials are planned and issued."""

from django.urls import path

from frontend.views import preparing_issuing

urlpatterns = [
    path("", preparing_issuing.issuing, name="prepare-issuing"),
    path("list/", preparing_issuing.issue_list, name="prepare-issue-list"),
]
