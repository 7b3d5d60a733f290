"""Actions on staff: duties in a course, links to set a password, who is who."""

from results.rosters.staff.accounts import change_account, make_account
from results.rosters.staff.duties import give_duty, keeper, take_duty
from results.rosters.staff.identities import sign_on
from results.rosters.staff.invitations import (
    invite,
    make_link,
    open_link,
    renew_link,
    take_up,
    withdraw_link,
)

__all__ = [
    "change_account",
    "give_duty",
    "invite",
    "keeper",
    "make_account",
    "make_link",
    "open_link",
    "renew_link",
    "sign_on",
    "take_duty",
    "take_up",
    "withdraw_link",
]
