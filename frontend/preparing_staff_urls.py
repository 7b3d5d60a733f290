"""Addresses of staff: who works in a course, and how people sign in."""

from django.urls import path

from frontend.views import preparing_staff, signing_in, signing_on, welcome

urlpatterns = [
    path(
        "staff/courses/<slug:course_code>/prepare/staff/",
        preparing_staff.staff,
        name="prepare-staff",
    ),
    path("staff/sign-in/", signing_in.StaffSignIn.as_view(), name="staff-sign-in"),
    path("staff/sign-out/", signing_in.StaffSignOut.as_view(), name="staff-sign-out"),
    path("staff/signed-out/", signing_on.signed_out, name="signed-out"),
    path("staff/sign-in/college/", signing_on.start, name="sign-on"),
    path("staff/sign-in/college/back/", signing_on.back, name="sign-on-back"),
    path("staff/welcome/", welcome.welcome, name="welcome"),
    path("staff/welcome/<str:token>/", welcome.arrive, name="welcome-link"),
    path(
        "staff/password/", signing_in.ChangePassword.as_view(), name="change-password"
    ),
]
