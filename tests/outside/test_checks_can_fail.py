"""Every check on care and safety finds the fault that it is there for."""

from __future__ import annotations

import inspect
from types import ModuleType

import pytest

from tests.outside import (
    test_access,
    test_adapters,
    test_cells,
    test_connections,
    test_discs,
    test_first_response,
    test_headsets,
    test_heights_and_loads,
    test_isolation,
    test_lasers,
    test_leads,
    test_liquids,
    test_sound_and_flashes,
)
from tests.outside.broken import broken_note
from tests.outside.world import Rule

GOOD_DISC = "Wipe a dirty disc"
CLEANING = "Clean a display panel"

Case = tuple[Rule, dict[str, str]]


def steps(rule: Rule, text: str, **more: str) -> Case:
    """Return a case whose fault lies in the steps."""
    return rule, {"steps": text, **more}


def why(rule: Rule, text: str, **more: str) -> Case:
    """Return a case whose fault lies in the reasons."""
    return rule, {"why": text, **more}


DISCS = [
    steps(test_discs.wipe_not_radial, "Wipe the disc with a cloth.", title=GOOD_DISC),
    steps(test_discs.circular_wiping, "Wipe the disc in circles."),
    steps(test_discs.paper_on_discs, "Dry the disc with a paper towel."),
    steps(test_discs.abrasives, "Rub toothpaste on the scratch."),
    steps(test_discs.disc_solvents, "Wipe the disc with acetone."),
    steps(test_discs.two_rules_for_disc_liquids, "Wipe the disc with alcohol.", title=GOOD_DISC),
    steps(
        test_discs.wrong_order_on_discs,
        "Wipe with water from the centre to the edge.\nBlow with the air puffer.",
        title=GOOD_DISC,
    ),
    steps(test_discs.disc_held_by_the_face, "Take the disc out."),
    steps(test_discs.one_side_looked_at, "Look at the disc.\n- If it is scratched: go to step 1.", title=GOOD_DISC),
    why(test_discs.radial_scratch_called_worse, "A radial scratch does more harm."),
    why(test_discs.disc_stored_hot, "A disc bears 60 C."),
    (test_discs.withdrawn_disc_standards, {"sources": '["ISO 18938:2008"]'}),
    why(test_discs.wrong_disc_size, "A disc is 130 mm wide."),
    steps(test_discs.labels_on_discs, "Stick the label on the disc."),
    steps(test_discs.bent_discs, "Bend the disc off the hub."),
    steps(test_discs.cracked_disc_played, "Play the cracked disc once more."),
]
LEADS = [
    steps(test_leads.field_repair, "Tape the lead where it is cut."),
    steps(test_leads.stapled_leads, "Staple the lead to the panel."),
    steps(test_leads.damage_left_in_use, "Look at it.\n- If the lead is cut: the work is done."),
    steps(test_leads.watched_instead_of_withdrawn, "Monitor the lead for a week."),
    (test_leads.thin_lead_inspection, {"sources": "[29 CFR 1910.334(a)(2)(i) (US)]"}),
    (test_leads.thin_user_check, {"title": "Inspect an adapter"}),
    steps(test_leads.strip_into_strip, "Plug the strip into another strip."),
    steps(test_leads.leads_through_gaps, "Run the lead under the mat."),
    steps(test_leads.pulled_by_the_lead, "Pull the plug out by the lead."),
    (test_leads.pull_reaches_the_lead, {"title": "Tether is stuck"}),
    steps(test_leads.tight_ties, "Bind the lead with a cable tie."),
    why(test_leads.yearly_test_called_law, "The law wants a test every 12 months."),
    steps(test_leads.defeated_earth, "Cut the earth pin off."),
    why(test_leads.low_voltage_called_harmless, "Low voltage is harmless."),
    why(test_leads.low_voltage_ceiling, "Low voltage means up to 110 V here."),
    why(test_leads.coupler_ratings, "A C7 plug carries 10 A."),
    steps(test_leads.movement_cures_the_lead, "Hold the plug at an angle."),
    why(test_leads.deadly_volts, "Anything above 90 V AC kills."),
    steps(test_leads.straightened_pins, "Straighten the pins with pliers."),
]
ADAPTERS = [
    (test_adapters.missing_point, {"title": "Choose the right adapter"}),
    steps(test_adapters.adapter_fitted_unmatched, "Fit the adapter from the drawer."),
    steps(test_adapters.higher_voltage, "Use a higher voltage to charge faster."),
    why(test_adapters.current_called_equal, "The amps must be equal."),
    why(test_adapters.lower_current, "A lower current is fine."),
    steps(test_adapters.fit_taken_for_match, "If the plug fits, use the adapter."),
    steps(test_adapters.opened_adapter, "Open the adapter with care."),
    steps(test_adapters.hot_adapter_kept, "Feel it.\n- If it is too hot to hold: the work is done."),
    steps(test_adapters.damaged_adapter_tried, "Try the damaged adapter at another outlet."),
    why(test_adapters.plug_sent_with_the_wrong_proof, "The USB-C plug fits, so it powers the device."),
]
LASERS = [
    steps(test_lasers.opened_drive, "Open the drive with the screwdriver."),
    steps(test_lasers.defeated_switch, "Hold the lid switch down with a finger."),
    steps(test_lasers.look_into_the_drive, "Look into the drive for a glow."),
    why(test_lasers.class_one_when_open, "It is Class 1, so it is safe when open."),
    why(test_lasers.dark_lens_called_dead, "No red light means that the laser has failed."),
    why(test_lasers.wrong_wavelength, "The beam is at 532 nm."),
    steps(test_lasers.hands_in_a_live_drive, "Brush the well with the soft brush."),
    steps(test_lasers.open_drive_worked_on, "Look at it.\n- If a cover is off: the work is done."),
    (test_lasers.open_drive_kept_in_service, {"title": "Drive cover is off"}),
    steps(test_lasers.refitted_cover, "Screw on the drive cover."),
    why(test_lasers.pointed_at_people, "The laser is harmless."),
]
CELLS = [
    steps(test_cells.damaged_cell_used, "Charge the swollen cell for an hour."),
    steps(test_cells.swelling_not_sent_on, "Look at it.\n- If the cell is swollen: the work is done."),
    steps(test_cells.charged_unseen, "Charge the pad in its dock."),
    steps(test_cells.bare_terminals, "Put the cells in a bag."),
    steps(test_cells.swallowed_cell_waits, "Wait for a sign of pain."),
    why(test_cells.wrong_burn_time, "A swallowed cell burns within six hours."),
    why(test_cells.charging_temperature, "Cells may be charged at 60 C."),
    steps(test_cells.charged_cold, "Charge the cold pad."),
    steps(test_cells.mixed_cells, "Mix the old cells with new ones."),
    steps(test_cells.open_compartment_kept, "Stick tape over the battery cover."),
    steps(test_cells.posted_unchecked, "Pack the handheld in a carton."),
    why(test_cells.paragraphs_of_the_transport_rule, "In the USA, 49 CFR 173.185(d) covers damaged cells."),
    why(test_cells.cell_voltages, "An AA cell gives 3 V."),
    steps(test_cells.cells_in_the_bin, "Throw the cells in the bin."),
    why(test_cells.coin_cell_rule_dates, "In the USA, 16 CFR 1263 has held since 2019."),
]
ISOLATION = [
    steps(test_isolation.hands_in_under_power, "Exchange the power lead."),
    steps(test_isolation.wet_work_under_power, "Wipe the panel with a damp cloth."),
    steps(test_isolation.lid_lifted_under_power, "Lift the lid of the drive."),
    steps(test_isolation.plug_out_of_sight, "Isolate the station."),
    (test_isolation.isolation_without_a_test, {"title": "Making a station dead"}),
    steps(test_isolation.wiring_by_a_rep, "Replace the wall outlet."),
    why(test_isolation.unlicensed_electrician, "It is work for an electrician."),
    steps(test_isolation.forced_breaker, "Reset the breaker until it holds."),
    steps(test_isolation.panel_touched_by_a_rep, "Switch the circuit off at the panel."),
    steps(test_isolation.burnt_plug_handled, "Look at it.\n- If the plug is browned: the work is done."),
    steps(test_isolation.wet_outlet_handled, "Look at it.\n- If the outlet is wet: the work is done."),
    steps(test_isolation.shock_played_down, "Ask staff.\n- If somebody felt a tingle: the work is done."),
    steps(test_isolation.felt_for_a_shock, "Touch the trim to see whether it is live."),
    steps(test_isolation.opened_part, "Unscrew the pad shell."),
    steps(test_isolation.wet_parts_touched, "Pull the wet plug."),
    steps(test_isolation.power_back_while_wet, "Blow it with a hair dryer."),
]
HEIGHTS = [
    steps(test_heights_and_loads.climbed_uninspected, "Climb the ladder."),
    steps(test_heights_and_loads.climbed_without_barrier, "Climb the ladder."),
    steps(test_heights_and_loads.climbed_carelessly, "Climb the ladder."),
    steps(test_heights_and_loads.ladder_not_fully_open, "Lean the step ladder on the wall."),
    steps(test_heights_and_loads.stood_on_furniture, "Stand on a chair."),
    steps(test_heights_and_loads.top_step_used, "Stand on the top step."),
    steps(
        test_heights_and_loads.reached_from_the_floor,
        "Look up.\n- If it hangs above shoulder height: go to step 1.",
    ),
    steps(test_heights_and_loads.display_lifted_alone, "Lift the display off its bracket."),
    steps(test_heights_and_loads.station_moved_alone, "Roll the station to its place."),
    why(test_heights_and_loads.wrong_lifting_limit, "Anyone may lift 80 lb."),
    steps(test_heights_and_loads.move_under_power, "Roll it away.", title="Move a station"),
]
LIQUIDS = [
    steps(test_liquids.sprayed_electronics, "Spray the cleaner on the display."),
    steps(test_liquids.alcohol_without_warning, "Wipe it with an alcohol wipe."),
    steps(test_liquids.alcohol_under_power, "Wipe it with an alcohol wipe."),
    steps(test_liquids.alcohol_without_drying, "Wipe it with an alcohol wipe."),
    steps(test_liquids.alcohol_in_a_closed_cabinet, "Use alcohol inside the closed cabinet."),
    steps(test_liquids.careless_duster, "Clear the vents with canned air."),
    steps(test_liquids.compressed_air, "Blow the vents out with compressed air."),
    why(test_liquids.wrong_alcohol_figures, "Its flash point is 40 C."),
    why(test_liquids.wrong_exposure_limit, "The OSHA limit is 500 ppm."),
    why(test_liquids.duster_ban_called_law, "Dusters are banned."),
    (test_liquids.unlabelled_bottle, {"before": "Mix soap and water in a bottle."}),
    steps(test_liquids.cleaner_on_coatings, "Wipe the display with window cleaner."),
    steps(test_liquids.grit_rubbed_in, "Wipe the panel.", title=CLEANING),
    steps(test_liquids.mixed_cleaners, "Mix bleach with the soap."),
    steps(test_liquids.dripping_wipe, "Take a dripping cloth."),
    steps(test_liquids.oil_in_buttons_or_locks, "Oil the lock."),
]
HEADSETS = [
    steps(test_headsets.disinfected_before_cleaned, "Wipe it with a disinfectant wipe."),
    steps(test_headsets.made_up_contact_time, "Leave it wet for two minutes."),
    steps(test_headsets.no_contact_time, "Wipe it with a disinfectant wipe."),
    steps(test_headsets.wet_lenses, "Wipe the lenses with water."),
    steps(test_headsets.fitted_without_warning, "Try the headset on.", station="[vr]"),
    steps(test_headsets.alone_in_the_headset, "Try the headset on.", station="[vr]"),
    why(test_headsets.water_claims, "The headset is waterproof."),
    why(test_headsets.wrong_alcohol_strength, "An alcohol wipe of 40 percent will do."),
    why(test_headsets.wrong_prevalence, "One person in 100 reacts to flashing light."),
    steps(test_headsets.lenses_in_the_sun, "Lay the headset in the sun."),
    (test_headsets.unguarded_player, {"title": "Mark the play area"}),
    steps(test_headsets.torn_cushion_kept, "Glue the torn cushion."),
]
SOUND = [
    why(test_sound_and_flashes.wrong_sound_levels, "The basic level is 95 dBA."),
    (test_sound_and_flashes.limit_not_proved, {"title": "Station too loud"}),
    steps(test_sound_and_flashes.loud_headphones, "Put on the headphones."),
    steps(test_sound_and_flashes.louder_for_attention, "Set the volume as loud as it goes."),
    why(test_sound_and_flashes.wrong_flash_limit, "Up to five flashes are allowed."),
    (test_sound_and_flashes.loop_without_flash_source, {"title": "Attract loop not running"}),
    steps(test_sound_and_flashes.own_loops, "Play your own loop."),
    (test_sound_and_flashes.flicker_watched, {"title": "Display flickers"}),
]
ACCESS = [
    why(test_access.obsolete_reach, "Reach goes up to 54 in."),
    why(test_access.wrong_reach, "Reach goes up to 60 in."),
    why(test_access.narrow_route, "A walkway of 24 in is enough."),
    (test_access.move_without_measuring, {"title": "Move a station"}),
    why(test_access.wrong_force, "A lock may need 20 lbf."),
    why(test_access.wrong_conversion, "Leave 36 in (1200 mm) free."),
    steps(test_access.lead_left_across_the_floor, "Look.\n- If a lead lies across the floor: the work is done."),
    steps(test_access.taped_floor_lead, "Tape the lead to the floor."),
    steps(test_access.blocked_exit, "Roll it in front of the fire exit."),
    steps(test_access.two_handed_lock, "Tighten it so tight that nobody opens it."),
    (test_access.wet_floor, {"title": "Drink on a station"}),
]
CONNECTIONS = [
    steps(test_connections.wrong_usb_voltage, "Check that a 5 V supply reads 6.5 V."),
    why(test_connections.wrong_usb_current, "A USB 2.0 port gives 2 A."),
    why(test_connections.wrong_usb_length, "A USB 2.0 lead may be ten metres long."),
    steps(test_connections.stick_in_a_hub, "Plug the stick into a hub."),
    why(test_connections.length_limit_for_video, "A video lead is at most 5 m long."),
    why(test_connections.wrong_video_pins, "An HDMI plug has 25 pins."),
    (test_connections.picture_hunt_in_the_wrong_order, {"title": "Display says no signal"}),
    why(test_connections.wrong_channels, "Use wireless channel 4."),
    why(test_connections.wrong_band_reach, "The band of 5 GHz reaches farther."),
    (test_connections.noise_beside_the_receiver, {"title": "Wireless pad lags"}),
    why(test_connections.exact_radio_channels, "It hops over 64 channels."),
    steps(
        test_connections.part_blamed_untested,
        "Look.\n- If it looks old: go to [Swap the console](../console/console-swap.md).",
    ),
]
SAFETY = {"id": "safety-broken"}
RESPONSE = [
    steps(
        test_first_response.emergency_number_late, "Call the support desk.\nCall the local emergency number.", **SAFETY
    ),
    steps(test_first_response.life_in_danger_unanswered, "Look for flames.", **SAFETY),
    steps(test_first_response.people_not_first, "Unplug the station.", **SAFETY),
    steps(test_first_response.call_before_power, "Call the support desk.\nUnplug the station.", **SAFETY),
    (test_first_response.wrong_action_of_safety_notes, {"action": "clean", **SAFETY}),
    steps(test_first_response.harmful_first_aid, "Put a spoon between the teeth."),
    steps(test_first_response.touched_while_live, "Pull the person from the cabinet."),
    steps(test_first_response.bare_hands_on_glass, "Pick up the glass by hand."),
    steps(test_first_response.broken_glass_without_gloves, "Sweep the glass into a box."),
    steps(test_first_response.fire_fought, "Put out the fire."),
    steps(test_first_response.passwords_written_down, "Write the password on a card."),
    steps(test_first_response.chased_thief, "Follow the thief."),
    steps(test_first_response.cracked_pad_kept, "Glue the cracked pad."),
]
CASES: list[Case] = [
    *DISCS,
    *LEADS,
    *ADAPTERS,
    *LASERS,
    *CELLS,
    *ISOLATION,
    *HEIGHTS,
    *LIQUIDS,
    *HEADSETS,
    *SOUND,
    *ACCESS,
    *CONNECTIONS,
    *RESPONSE,
]
MODULES = [
    test_access,
    test_adapters,
    test_cells,
    test_connections,
    test_discs,
    test_first_response,
    test_headsets,
    test_heights_and_loads,
    test_isolation,
    test_lasers,
    test_leads,
    test_liquids,
    test_sound_and_flashes,
]


def rules_of(module: ModuleType) -> set[str]:
    """Return the names of the rules that a theme defines."""
    return {
        name
        for name, thing in vars(module).items()
        if inspect.isfunction(thing)
        and thing.__module__ == module.__name__
        and not name.startswith(("_", "test_"))
        and list(inspect.signature(thing).parameters) == ["notes"]
    }


@pytest.mark.parametrize(("rule", "changes"), CASES, ids=lambda value: getattr(value, "__name__", ""))
def test_the_fault_is_found(rule: Rule, changes: dict[str, str]) -> None:
    assert rule([broken_note(**changes)]) != []


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__.rpartition(".")[2])
def test_every_rule_has_a_broken_note(module: ModuleType) -> None:
    tried = {rule.__name__ for rule, _ in CASES if rule.__module__ == module.__name__}
    assert tried == rules_of(module)
