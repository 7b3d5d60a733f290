"""What a deed is, and the deeds at the balance, the flasks and the tubes."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Deed:
    """One way to go wrong.

    Attributes
    ----------
    name : str
        Short name, never shown to students by itself.
    shape : str
        What it looks like in the readings; slips of one shape cannot be told apart.
        How often and how large: `assumptions.RATES` and `assumptions.SIZES`.
    act : str
        Who can do something: S student now, T assistant, C coordinator.
    usual : float
        How usual it is among the deeds of its shape; an assumption.
    advice : str
        One sentence, for the person who can act.
    """

    name: str
    shape: str
    act: str
    usual: float
    advice: str


BENCH_DEEDS = (
    Deed("salt_lost", "standards_loss", "S", 3,
         "Rinse boat and funnel into the flask."),
    Deed("stock_overfilled", "standards_loss", "S", 2,
         "Past the mark means starting over; taking some out does not help."),
    Deed("stock_not_mixed", "standards_loss", "S", 1,
         "Stopper the stock and turn it over ten times."),
    Deed("burette_wet", "standards_loss", "S", 1,
         "Rinse the burette twice with a little of the solution it will hold."),
    Deed("wrong_bottle", "standards_loss", "C", 1,
         "Compare the formula on the bottle with the one on the sheet."),
    Deed("reagents_above_mark", "standards_loss", "S", 1,
         "Add all reagents first, then fill to the mark."),
    Deed("stock_underfilled", "standards_gain", "S", 2,
         "Bring the meniscus to the mark at eye level."),
    Deed("salt_misread", "standards_gain", "S", 2,
         "Compare the balance print with the notebook."),
    Deed("salt_effloresced", "standards_gain", "C", 1,
         "Assay the salt, and retire a bottle that has crusted."),
    Deed("stock_far_off", "standards_far", "S", 1,
         "Go through weighing and dilutions of the standards step by step."),
    Deed("wrong_pipette_for_stock", "standards_factor", "S", 3,
         "Say the size of the pipette aloud and write it beside the step."),
    Deed("stock_dilution_left_out", "standards_factor", "S", 2,
         "Ask which flask the standards were really taken from."),
    Deed("wrong_stock_flask", "standards_factor", "S", 1,
         "Read the volume etched on the flask."),
    Deed("flask_off_mark", "tube_fill", "S", 3,
         "Let the last millilitre fall from a dropper, at eye level."),
    Deed("short_draw", "tube_fill", "S", 2, "Make that one flask again."),
    Deed("air_in_burette_tip", "tube_fill", "S", 1,
         "Clear the tip before the first reading."),
    Deed("buffer_before_reductant", "tube_fill", "S", 1,
         "Wait a quarter of an hour and read again before making it anew."),
    Deed("burette_off_by_1_mL", "tube_step", "S", 1,
         "Write both burette readings down and subtract on paper."),
    Deed("volume_taken_wrong", "tube_wrong", "S", 1,
         "Ask how the volume was delivered."),
    Deed("volume_far_off", "tube_far", "S", 1,
         "Ask how the volume was delivered, then make that flask again."),
    Deed("reductant_left_out", "tube_pale", "S", 2,
         "Make that flask again; the reductant goes in first."),
    Deed("buffer_left_out", "tube_pale", "S", 1,
         "Check the pH with a strip; without buffer the colour stays pale."),
    Deed("read_too_soon", "tube_pale", "S", 1,
         "Start the clock at the last addition, and read again."),
    Deed("cell_dirty", "tube_dark", "S", 3,
         "Wipe the cell, mark to the front, read again."),
    Deed("haze_or_bubbles", "tube_dark", "S", 2,
         "Tap the cell, wipe it and read again."),
    Deed("iron_contamination", "tube_dark", "S", 1,
         "Rinse the glass with purified water and make that flask again."),
    Deed("ligand_left_out", "tube_uncoloured", "S", 1,
         "A flask without colour has missed the ligand."),
    Deed("volume_mistyped", "volume_typed", "S", 2,
         "Compare the volumes typed with the burette page."),
    Deed("burette_readings_as_volumes", "volume_typed", "S", 1,
         "A volume is the later burette reading less the earlier one."),
    Deed("neighbours_swapped", "swap", "S", 3,
         "Hold the flasks against white paper and check their labels."),
    Deed("labels_swapped", "swap", "S", 1, "Put the flasks in order, palest first."),
    Deed("unknown_and_standard_swapped", "swap_unknown", "S", 1,
         "Compare the unknown with the standards by eye."),
    Deed("labels_shifted", "shifted", "S", 1,
         "Line the flasks up and label them anew."),
    Deed("rows_slipped", "shifted", "S", 1,
         "Read the pairs of tube and value aloud."),
    Deed("unknown_lost", "unknown_loss", "S", 2,
         "Rinse the boat into the flask, and look for specks before filling it."),
    Deed("unknown_not_dissolved", "unknown_loss", "S", 2,
         "Hold the flask to the light: no specks before you fill to the mark."),
    Deed("reductant_left_out_of_unknown", "unknown_loss", "S", 1,
         "Standards and unknown must be treated alike."),
    Deed("meter_moved_before_unknown", "unknown_loss", "S", 1,
         "Read one standard again, then the unknown."),
    Deed("lot_damp", "unknown_loss", "C", 0.5, "Have the lot assayed again."),
    Deed("full_scale_drifted", "unknown_gain", "S", 2,
         "Read the blank before the unknown, and write it down."),
    Deed("cell_dirty_for_unknown", "unknown_gain", "S", 2,
         "Take the cell out, wipe it, put it back, read twice."),
    Deed("other_cell_for_unknown", "unknown_gain", "S", 1,
         "One cell, one meter, one sitting."),
    Deed("lot_dried", "unknown_gain", "C", 0.5, "Have the lot assayed again."),
    Deed("unknown_far_off", "unknown_far", "S", 1,
         "Go through weighing and dilutions of the unknown step by step."),
    Deed("wrong_pipette_for_unknown", "unknown_factor", "S", 3,
         "Ask which pipette was in the hand."),
    Deed("unknown_dilution_left_out", "unknown_factor", "S", 3,
         "Ask which flask the tubes were filled from."),
    Deed("wrong_unknown_flask", "unknown_factor", "S", 1,
         "Read the volume etched on the flask."),
    Deed("other_powder", "unknown_factor", "T", 1, "Ask to see the vial."),
    Deed("unknown_tube_mispipetted", "unknown_tube", "S", 2,
         "Make a third tube; keep the two that agree only if you can say why."),
    Deed("unknown_tube_misfilled", "unknown_tube", "S", 1, "Make that tube again."),
    Deed("unknown_tube_far_off", "unknown_tube_far", "S", 1, "Make that tube again."),
    Deed("unknown_tube_pale", "unknown_pale", "S", 1,
         "Make that tube again, with every reagent in its order."),
    Deed("unknown_cell_dirty", "unknown_dark", "S", 1,
         "Wipe the cell and read again."),
    Deed("ligand_left_out_of_unknown", "unknown_uncoloured", "S", 1,
         "A tube without colour has missed the ligand."),
)  # fmt: skip
