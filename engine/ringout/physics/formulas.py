"""The formulas, each a function of plain numbers. Units stand in the names.

Kept out on purpose: `max`, `min`, `abs` and anything else that is not monotone in each argument (see
`quantity.traced`); a rule compares instead.
"""

from __future__ import annotations

import math

from ringout.quantity.steady import adds
from ringout.quantity.traced import formula

PLAIN = "plain arithmetic"


@formula(
    "ρ = k · ρ20 · (1 + α · (T - 20 °C)), in Ω·mm²/m",
    dimension="",
    source="IEC 60028 (standard, 1925) for ρ20 and α; IEC 60228 (standard, 2004) for the stranding factor k",
)
def copper_ohm_mm2_m(
    temperature_c: float, stranding: float, rho_ohm_mm2_m: float, alpha_per_k: float
) -> float:
    """Resistance (ohm) of one metre of 1 mm2 of a cable."""
    return stranding * rho_ohm_mm2_m * (1 + alpha_per_k * (temperature_c - 20))


@formula("R = ρ · l / A + 2 · R_lug", dimension="resistance", source=PLAIN)
def conductor_ohm(copper_ohm_mm2_m: float, length_m: float, area_mm2: float, lug_ohm: float) -> float:
    """Resistance (ohm) of one conductor with the two lugs at its ends."""
    return copper_ohm_mm2_m * length_m / area_mm2 + 2 * lug_ohm


@formula(
    "R = R_100Ah · (100 Ah / C) · (U / 12 V)", dimension="resistance", source="common practice, no source"
)
def typical_internal_ohm(ohm_12v_100ah: float, capacity_ah: float, nominal_v: float) -> float:
    """Internal resistance (ohm) of a battery from that of one of 12 V and 100 Ah of its kind."""
    return ohm_12v_100ah * (100 / capacity_ah) * (nominal_v / 12)


@adds
@formula("sum of the resistances", dimension="resistance", source=PLAIN)
def series_ohm(*resistances_ohm: float) -> float:
    """Resistance (ohm) of elements one behind the other."""
    return sum(resistances_ohm)


@formula("1/R = sum of 1/R of each", dimension="resistance", source="Kirchhoff's laws")
def parallel_ohm(*resistances_ohm: float) -> float:
    """Resistance (ohm) of elements side by side."""
    return 1 / sum(1 / each for each in resistances_ohm)


@formula(
    "R by rating: from 100 A on bolted contacts", dimension="resistance", source="common practice, no source"
)
def contacts_ohm(rating_a: float, bolted_ohm: float, small_ohm: float) -> float:
    """Resistance (ohm) of a fuse, switch or shunt in a lead, by its rating (A)."""
    return bolted_ohm if rating_a >= 100 else small_ohm


@formula("ΔU = I · R", dimension="voltage", source="Ohm's law")
def drop_v(current_a: float, resistance_ohm: float) -> float:
    """Voltage (V) lost over a resistance."""
    return current_a * resistance_ohm


@formula("share = ΔU / U", dimension="ratio", source=PLAIN)
def drop_share(drop: float, nominal_v: float) -> float:
    """A voltage drop as a part of the nominal voltage."""
    return drop / nominal_v


@formula("I = P / (U · η)", dimension="current", source="energy balance of a converter")
def inverter_input_a(power_w: float, volts: float, efficiency: float) -> float:
    """Direct current (A) that an inverter takes for an AC power (W)."""
    return power_w / (volts * efficiency)


@formula(
    "I_net = I · (1/(η_charger·η_inverter) - 1) + P_idle / U", dimension="current", source="energy balance"
)
def loop_net_a(
    output_a: float, volts: float, charger_eff: float, inverter_eff: float, idle_w: float
) -> float:
    """Current (A) that the battery loses while it feeds its own charger through its own inverter."""
    return output_a * (1 / (charger_eff * inverter_eff) - 1) + idle_w / volts


@formula("I = I_charger / (η_charger·η_inverter) + P_idle / U", dimension="current", source="energy balance")
def loop_out_a(
    output_a: float, volts: float, charger_eff: float, inverter_eff: float, idle_w: float
) -> float:
    """Current (A) out of the battery into the inverter while the loop runs."""
    return output_a / (charger_eff * inverter_eff) + idle_w / volts


@formula("P = U · I_net", dimension="power", source=PLAIN)
def heat_w(volts: float, net_a: float) -> float:
    """Power (W) that a loop turns into heat."""
    return volts * net_a


@formula("Q = C · usable share", dimension="charge", source=PLAIN)
def usable_ah(capacity_ah: float, usable_share: float) -> float:
    """Charge (Ah) of a bank that may be used."""
    return capacity_ah * usable_share


@formula("I = P / U", dimension="current", source=PLAIN)
def idle_a(power_w: float, volts: float) -> float:
    """Direct current (A) behind a power taken straight from the battery (W)."""
    return power_w / volts


@formula("n · P", dimension="power", source=PLAIN)
def times_w(count: float, each_w: float) -> float:
    """Power (W) of several alike."""
    return count * each_w


@formula("n · x", dimension="", source=PLAIN)
def times(count: float, each: float) -> float:
    """A count times what each one has (any dimension)."""
    return count * each


@formula("the class (12, 24, 36, 48 V) a printed voltage belongs to", dimension="voltage", source=PLAIN)
def volt_class_v(printed_v: float) -> float:
    """Nominal volts (V) of the class: 12.8 V of a lithium label is a 12 V battery, 51.2 V a 48 V one.

    Below 9 V (cells and 6 V blocks) the printed voltage stands; half-way belongs to the class above.
    """
    return printed_v if printed_v < 9 else 12.0 * math.floor(printed_v / 12 + 0.5)


@formula("strings = count · U_each / U_system", dimension="count", source=PLAIN)
def strings_of(count: float, nominal_v: float, system_v: float) -> float:
    """How many strings a number of like batteries makes at the system's voltage."""
    return count * nominal_v / system_v


@formula("A1 / A2", dimension="ratio", source=PLAIN)
def size_ratio(one_mm2: float, other_mm2: float) -> float:
    """Copper of one conductor against another."""
    return one_mm2 / other_mm2


@formula("sum of the lengths", dimension="length", source=PLAIN)
def total_length_m(*lengths_m: float) -> float:
    """Length (m) of pieces one behind the other."""
    return sum(lengths_m)


@formula("t = Q / I", dimension="time", source=PLAIN)
def hours_to_flat_s(charge_ah: float, current_a: float) -> float:
    """Time (s) until a charge (Ah) is gone at a steady current (A); never where nothing is drawn."""
    return 3600 * charge_ah / current_a if current_a > 0 else math.inf


@formula("Q = I · t", dimension="charge", source=PLAIN)
def charge_taken_ah(current_a: float, time_s: float) -> float:
    """Charge (Ah) taken at a steady current over a time (s)."""
    return current_a * time_s / 3600


@formula("sum over the parts", dimension="", source=PLAIN)
def total(*each: float) -> float:
    """Sum of what several parts have (any dimension)."""
    return sum(each)


@formula("sum of the powers", dimension="power", source=PLAIN)
def total_w(*powers_w: float) -> float:
    """Power (W) of appliances at one time."""
    return sum(powers_w)


@formula("P if fed by it and used at the same time, else 0", dimension="power", source=PLAIN)
def counted_w(power_w: float, together: str, fed: str) -> float:
    """Power (W) of an appliance that counts only if it is fed and runs together with the others."""
    return power_w if together == "yes" and fed == "yes" else 0.0


@formula(
    "I = P / U_battery", dimension="current", source="energy balance of a solar controller without losses"
)
def controller_output_a(power_w: float, volts: float) -> float:
    """Current (A) that panels of a power (W) could push into a battery at a battery voltage (V)."""
    return power_w / volts


@formula("ratio = share · strings", dimension="ratio", source=PLAIN)
def against_equal(share: float, strings: float) -> float:
    """A battery's current against an equal share (1 = just its share)."""
    return share * strings


@formula("rate = I / C", dimension="ratio", source=PLAIN)
def per_capacity(current_a: float, capacity_ah: float) -> float:
    """Charge current as a part of capacity (A per Ah)."""
    return current_a / capacity_ah


@formula("over = I / I_rating", dimension="ratio", source=PLAIN)
def against_rating(current_a: float, rating_a: float) -> float:
    """A current against a rating (1 = just its rating)."""
    return current_a / rating_a


@formula("U at 12 V = U · 12 / U_nominal", dimension="voltage", source=PLAIN)
def at_12v(volts: float, nominal_v: float) -> float:
    """A voltage of a 12, 24 or 48 V system as it would be at 12 V, for limits that are written per 12 V."""
    return volts * (12 / nominal_v)  # in this order 14.2 V of a 12 V system stays 14.2 V to the last digit


@formula("U = U_12 · U_nominal / 12", dimension="voltage", source=PLAIN)
def from_12v(volts_12: float, nominal_v: float) -> float:
    """A voltage written per 12 V as it is in a system of another nominal voltage."""
    return volts_12 * nominal_v / 12


@adds
@formula(
    "U_load = U_rested - what the network loses",
    dimension="voltage",
    source="superposition, Kirchhoff's laws",
)
def under_load_v(rested_v: float, lost_v: float) -> float:
    """Voltage (V) at a load while another load runs."""
    return rested_v - lost_v


@formula(
    "sum of the ratings",
    dimension="current",
    source="devices side by side let through the sum of their ratings",
)
def sum_a(*ratings_a: float) -> float:
    """Current (A) that devices side by side let through."""
    return sum(ratings_a)


@formula(
    "R = R_battery · series / strings", dimension="resistance", source="plain arithmetic, all batteries alike"
)
def bank_ohm(battery_ohm: float, series: float, strings: float) -> float:
    """Internal resistance (ohm) of a bank of like batteries."""
    return battery_ohm * series / strings


@formula(
    "I = U / (R_bank + k · R_lead)",
    dimension="current",
    source="Ohm's law; a dead short right behind the device",
)
def fault_a(volts: float, bank: float, lead_ohm: float, return_factor: float) -> float:
    """Fault current (A): bank volts over bank and lead; k is 1 for no return to 2 for one as long."""
    return volts / (bank + return_factor * lead_ohm)


@formula(
    "U = n · U_25 · (1 + β·(T - 25))", dimension="voltage", source="panel data sheets state β for 25 C cells"
)
def string_v(series: float, volts_25: float, per_kelvin: float, cell_c: float) -> float:
    """Voltage (V) of panels in series at a cell temperature (C); `per_kelvin` is negative."""
    return series * volts_25 * (1 + per_kelvin * (cell_c - 25))


@formula("I = m · I_sc", dimension="current", source=PLAIN)
def string_a(parallel: float, short_circuit_a: float) -> float:
    """Current (A) of strings side by side."""
    return parallel * short_circuit_a


@formula("set / held", dimension="ratio", source=PLAIN)
def against_capacity(set_ah: float, held_ah: float) -> float:
    """A capacity that was set against the one the bank holds (1 = alike)."""
    return set_ah / held_ah


@formula("sum of the charge currents", dimension="current", source="all sources at full output at one time")
def charge_total_a(*currents_a: float) -> float:
    """Current (A) of all charge sources together."""
    return sum(currents_a)


@formula("sum of the inverter currents", dimension="current", source="all inverters at their ratings at one time")
def discharge_total_a(*currents_a: float) -> float:
    """Current (A) that all inverters of a bank draw together."""
    return sum(currents_a)


@formula("I if it hangs on this bank, else 0", dimension="current", source=PLAIN)
def counted_a(current_a: float, on: str) -> float:
    """Current (A) of a charge source or inverter that counts only if it hangs on the bank."""
    return current_a if on == "yes" else 0.0


@formula("P_start = I_start · U", dimension="power", source=PLAIN)
def start_w(start_a: float, volts: float) -> float:
    """Apparent power (VA, taken as W) of a motor while it starts."""
    return start_a * volts


@formula(
    "I = I_back · U_back / (U_in · η_charger·η_inverter) + P_idle / U_in",
    dimension="current",
    source="energy balance",
)
def explained_a(
    back_a: float, back_v: float, in_v: float, charger_eff: float, inverter_eff: float, idle_w: float
) -> float:
    """Current (A) into an inverter that conversion and idle explain when a charger gives `back_a`."""
    return back_a * back_v / (in_v * charger_eff * inverter_eff) + idle_w / in_v


@formula("I_net = I_out - I_back", dimension="current", source="Kirchhoff's current law")
def net_a(out_a: float, back_a: float) -> float:
    """Current (A) that is gone for good."""
    return out_a - back_a


@formula("P = I · U", dimension="power", source=PLAIN)
def unexplained_w(current_a: float, volts: float) -> float:
    """Power (W) behind a current."""
    return current_a * volts


@formula("I / sum of I", dimension="ratio", source="Kirchhoff's current law")
def part_of_sum(own_a: float, *all_a: float) -> float:
    """One battery's part of the current of all; without end where they come to nothing."""
    every = sum(all_a)
    return own_a / every if every else math.copysign(math.inf, own_a)


@formula("U = k · U_slope", dimension="voltage", source="single-diode model against the line of a label")
def cold_v(slope_v: float, bend: float) -> float:
    """Voltage (V) of a string in the cold, which lies somewhat above the straight line of its label."""
    return bend * slope_v
