"""Print the figures of the exam: `python -m tests.exam [groups]`."""

import sys

import numpy as np

from results.science.simulate import SLIP_RATES
from tests.exam import class_effects, stray_light
from tests.exam.arithmetic import clean_share, random_finals, single_slips
from tests.exam.classes import course_exam, reference_exam, small_classes
from tests.exam.reference import Design

GROUPS = int(sys.argv[1]) if len(sys.argv) > 1 else 6000
OTHER_DESIGNS = {
    "4 standards": Design(takes=(1, 2, 3.5, 5)),
    "8 standards": Design(takes=(0.7, 1.3, 1.9, 2.5, 3.1, 3.7, 4.3, 5)),
    "10 standards": Design(takes=tuple(np.linspace(0.5, 5, 10).round(1))),
    "pipettes": Design(with_="pipette"),
    "1 unknown tube": Design(unknowns=1),
    "needle read to 1 %T": Design(step=1.0),
    "digital, 0.1 %T": Design(step=0.1, sd=0.15),
    "absorbance scale": Design(absorbance=True),
    "other dilutions": Design(
        salt=(200, 20, 250), powder=(100, 5, 250), salt_g=0.70, powder_g=0.16
    ),
    "burette noise x 1.5": Design(delivery_factor=1.5),
    "heavy tails (t, 4 df)": Design(tails=True),
    "half the slip sizes": Design(size_factor=0.5),
}


def say(*parts, sep=" "):
    """Print a line."""
    sys.stdout.write(sep.join(str(part) for part in parts) + "\n")


def summary(title, marks):
    """Print one line of marks."""
    say(
        f"{title:28s} false alarm {100 * marks.false_alarm:5.2f} % "
        f"(but for masses {100 * marks.false_alarm_but_mass:5.2f} %)  "
        f"top-1 {100 * marks.mean_top1:5.1f}  top-3 {100 * marks.mean_top3:5.1f}  "
        f"tube {100 * marks.right_tube:5.1f}  "
        f"calibration {marks.worst_calibration:.3f}  {marks.rate:7.0f} groups/s"
    )


def table(marks):
    """Print marks slip by slip, with what each was taken for."""
    for name in sorted(marks.top1):
        taken = ", ".join(
            f"{code or 'nothing'} {count}"
            for code, count in marks.confusion[name].most_common(4)
        )
        say(
            f"  {name:22s} n {marks.counts[name]:5d}  "
            f"detected {100 * marks.detected[name]:5.1f}  "
            f"top-1 {100 * marks.top1[name]:5.1f}  "
            f"top-3 {100 * marks.top3[name]:5.1f}  taken for: {taken or '-'}"
        )
    for stated, observed, count in marks.calibration:
        say(f"  stated {stated:.3f}  observed {observed:.3f}  n {count}")


def pooled(many):
    """Mean top-1 over the slips, each pooled over many small classes."""
    right = {}
    for marks in many:
        for name, share in marks.top1.items():
            right.setdefault(name, []).append((share, marks.counts[name]))
    means = [
        sum(share * count for share, count in pairs) / sum(n for _, n in pairs)
        for pairs in right.values()
    ]
    return f"top-1 {100 * np.mean(means):.1f}"


def reference_section():
    """Print the reference experiment, whole classes and small ones."""
    say("All classes are invented. Reference experiment, one slip in 25 % of groups.")
    for view in ("students", "staff", "nothing"):
        marks = reference_exam(1, GROUPS, view=view)
        summary(f"{view}' view" if view != "nothing" else "no class at all", marks)
        if view == "students":
            table(marks)
        if marks.unseen:
            say(
                "  not counted, for nothing shows them:",
                ", ".join(sorted(marks.unseen)),
            )
            say("  one group cannot know that all hands of this class are careful")
    say("\nOther designs, students' view.")
    for title, design in OTHER_DESIGNS.items():
        summary(title, reference_exam(2, GROUPS // 2, design))
    say("\nSmall classes, each with its own context (6 lots: 4 or 8 groups a lot).")
    for size in (24, 48):
        for view in ("students", "staff"):
            many = small_classes(100, max(GROUPS // 100, 20), size, view=view)
            alarm = 100 * np.mean([marks.false_alarm for marks in many])
            say(f"{size} groups, {view}' view: false alarm {alarm:.2f} %", pooled(many))


def course_section():
    """Print the invented course."""
    say("\nInvented course: its own slips and sizes, pairs of differing care.")
    clean = course_exam(3, GROUPS, dict.fromkeys(SLIP_RATES, 0.0))
    say(
        f"false alarm {100 * clean.false_alarm:.2f} % "
        f"(but for masses {100 * clean.false_alarm_but_mass:.2f} %) "
        f"of {GROUPS} groups in a course without slips, which is thought to have some"
    )
    say(
        "Groups with several slips, or one below 2 %, are not marked. "
        "A slip in a weak standard counts, although it seldom shows."
    )
    for view in ("students", "staff", "nothing"):
        marks = course_exam(4, GROUPS, None, view=view)
        summary(f"{view}' view", marks)
        table(marks)


def worked_section():
    """Print the worked answers."""
    say("\nWorked answers.")
    for figures in (4, 3):
        for final_only in (False, True):
            named = single_slips(5, 300, figures=figures, final_only=final_only)
            what = "last number only" if final_only else "four numbers"
            least = ", ".join(
                f"{name} {100 * share:.0f}"
                for name, share in sorted(named.items(), key=lambda x: x[1])[:4]
            )
            mean = 100 * np.mean(list(named.values()))
            say(f"{figures} figures, {what}: named {mean:.1f} % (least: {least})")
    share, rate = clean_share(6, 4000)
    say(f"right workings called right {100 * share:.2f} %, {rate:.0f} groups/s")
    for figures in (4, 3):
        single, pair = random_finals(7, 2000, figures=figures)
        say(
            f"random last number, {figures} figures: one slip {100 * single:.2f} %, "
            f"a pair {100 * pair:.2f} %"
        )


def main():
    """Run every section."""
    reference_section()
    course_section()
    worked_section()
    say("\nCrossed effects.", *class_effects.report(), *stray_light.report(), sep="\n")


if __name__ == "__main__":
    main()
