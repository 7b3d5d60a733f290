"""The kinds of problem that the API answers with, each explained at its own address.

A problem document (RFC 9457) names its kind in ``type``; the address given
there answers with the explanation that stands here.
"""

from dataclasses import dataclass

PROBLEM_MEDIA_TYPE = "application/problem+json"
PROBLEMS_PATH = "/api/v1/problems"


@dataclass(frozen=True, slots=True)
class ProblemKind:
    """One kind of problem.

    Attributes
    ----------
    code : str
        Last part of the kind's address.
    status : int
        Status code of every answer of this kind.
    title : str
        The kind in a few words, the same each time.
    meaning : str
        What it means and what a program can do about it.
    """

    code: str
    status: int
    title: str
    meaning: str

    @property
    def uri(self) -> str:
        """Address of the explanation, relative to the site."""
        return f"{PROBLEMS_PATH}/{self.code}"


_ALL = (
    ProblemKind(
        "not-admitted",
        422,
        "Something needs mending",
        "The request was understood, but what it holds cannot be stored. Every "
        "problem is listed in errors: pointer (RFC 6901) leads to the value in the "
        "body that was sent, detail says what to mend. Nothing was stored; mend the "
        "values and send them again, under a new Idempotency-Key or the same one.",
    ),
    ProblemKind(
        "malformed",
        400,
        "The body cannot be read",
        "The body is not one JSON document in UTF-8. Check brackets, quotes and "
        "commas; numbers with a decimal comma have to be sent as strings.",
    ),
    ProblemKind(
        "idempotency-key-missing",
        400,
        "The Idempotency-Key header is missing",
        "Submissions need the header Idempotency-Key with 1 to 120 visible ASCII "
        "characters. Choose a new key for each new set of readings and repeat it "
        "when the same request is sent again, so that it is stored only once.",
    ),
    ProblemKind(
        "idempotency-key-reused",
        409,
        "The key belongs to other readings",
        "The group has already used this Idempotency-Key for other content. Use a "
        "new key for a new revision.",
    ),
    ProblemKind(
        "section-not-open",
        409,
        "The section is not open yet",
        "Submissions are accepted from the section's opening time on. Keep the "
        "readings and send them then.",
    ),
    ProblemKind(
        "section-closed",
        409,
        "The section is closed",
        "The section accepts no more submissions. Keep the readings and ask a "
        "teaching assistant.",
    ),
    ProblemKind(
        "no-protocol",
        409,
        "The course has no protocol",
        "Nothing can be shown or accepted before the coordinator has adopted a "
        "protocol for the course.",
    ),
    ProblemKind(
        "no-grading-scheme",
        409,
        "The course has no grading scheme",
        "There are no grades before the coordinator has adopted a grading scheme for "
        "the course.",
    ),
    ProblemKind(
        "slips-changed",
        409,
        "The slips were made meanwhile",
        "Somebody else has made slips for these groups since they were looked at. "
        "Look again, so that no slip that is in somebody's hand ends unseen.",
    ),
    ProblemKind(
        "nothing-chosen",
        422,
        "Nothing is chosen",
        "Choose at least one of the groups.",
    ),
    ProblemKind(
        "refused",
        409,
        "This cannot be done now",
        "The request is in order, but things stand so that it cannot be done; detail "
        "says why.",
    ),
    ProblemKind(
        "sign-in-needed",
        401,
        "A token is needed",
        "The request has no token, or one that has expired or was withdrawn. Sign in "
        "again and send the token as Authorization: Bearer, followed by the token.",
    ),
    ProblemKind(
        "not-for-this-token",
        403,
        "The token is for other addresses",
        "Tokens of groups open the group's own addresses, tokens of staff those of "
        "staff, and neither the other's.",
    ),
    ProblemKind(
        "not-found",
        404,
        "Nothing is here",
        "There is nothing at this address, or nothing that this token may see.",
    ),
    ProblemKind(
        "method-not-allowed",
        405,
        "The address does not take this method",
        "The header Allow names the methods that the address takes.",
    ),
    ProblemKind(
        "not-acceptable",
        406,
        "No answer in an accepted format",
        "The API answers in JSON: accept application/json.",
    ),
    ProblemKind(
        "body-too-large",
        413,
        "The body is too large",
        "The readings of one group are a few kilobytes. Send one submission at a time.",
    ),
    ProblemKind(
        "unsupported-media-type",
        415,
        "The body is not JSON",
        "Send the body as JSON with Content-Type: application/json.",
    ),
    ProblemKind(
        "too-many-attempts",
        429,
        "Too many attempts to sign in",
        "The header Retry-After says how many seconds to wait.",
    ),
    ProblemKind(
        "not-now",
        503,
        "Nothing can be stored at the moment",
        "The site's database does not answer, or has no room. Keep what was sent and "
        "send it again after the seconds that the header Retry-After gives, under the "
        "same Idempotency-Key: whether or not it was stored, it is stored only once.",
    ),
    ProblemKind(
        "server-error",
        500,
        "Something went wrong here",
        "The fault is not in the request. Send it again later under the same "
        "Idempotency-Key: whether or not it was stored, it is stored only once.",
    ),
)
KINDS = {kind.code: kind for kind in _ALL}
