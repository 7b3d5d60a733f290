"""A section to grade: some groups clean, some with something to look at."""

from results.models import Grade
from tests import factories
from tests.frontend.benches import make_class

OWN = {"own_iron_percent": "12.00"}
ODD = {"3": 45.0}


def make_graded(n_clean=2, n_odd=1, *, document=None, section=None):
    """A section whose clean groups work perfectly and whose odd ones have a tube off.

    Returns
    -------
    The section and its groups, the clean ones first; grades are suggested.
    """
    section = section or factories.make_section(factories.make_course())
    factories.make_grading(section.course, document)
    groups = make_class(section, n_clean + n_odd, submitted=False)
    for number, group in enumerate(groups):
        # Masses differ a little, lest equal readings be noticed.
        mass_g = 0.25 + number / 10_000
        values = factories.perfect_readings(unknown_mass_g=mass_g)
        odd = ODD if number >= n_clean else {}
        raw = factories.raw_submission(
            percent_T=values | odd, unknown_mass_g=mass_g, own=OWN
        )
        factories.submit(group, raw, key="first")
    factories.worked_off()
    return section, groups


def grade_of(group):
    return Grade.objects.get(group=group)


def versions(section):
    """What a person who has just opened the page has seen."""
    return dict(
        Grade.objects.filter(group__section=section).values_list("group_id", "version")
    )
