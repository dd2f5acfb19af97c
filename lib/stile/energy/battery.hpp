#pragma once
// A battery: what its chemistry makes of capacity, rate and cold, and how long it lasts.

#include <span>
#include <string_view>

#include <stile/base/range.hpp>

namespace stile::energy {

enum class Chemistry { lead_acid_agm, lead_acid_gel, lead_acid_flooded, lithium_iron_phosphate };

/// What is usual for a chemistry. Every figure is a range of what data sheets and handbooks print; none is a
/// measurement of the user's own battery.
struct ChemistryFacts {
  Chemistry chemistry = Chemistry::lead_acid_agm;
  std::string_view name;             ///< in files: "sealed lead-acid", ...
  Range peukert_exponent;            ///< dimensionless, >= 1
  double rate_h = 20.0;              ///< discharge time at which makers state the capacity, h
  Range specific_energy_wh_per_kg;   ///< of a whole battery
  double nominal_v = 12.0;           ///< of the battery that a 12 V set takes (common practice)
  Range end_voltage_v;               ///< under load, of that battery, to which makers state the capacity
  double most_cut_off_v = 12.0;      ///< under load, above it what is left unused is anybody's guess
  std::string_view exponent_source;  ///< where the exponent comes from, or "from memory"
  std::string_view cold_source;      ///< the same of its capacity in the cold
};

/// In the order in which messages name them.
std::span<const ChemistryFacts> chemistries();

/// Those of one chemistry.
const ChemistryFacts& describe_chemistry(Chemistry chemistry);

/// Capacity at a temperature, as a share of that at 25 degrees C.
///
/// @param temperature_c  -20 .. 50 degrees C
/// @return  1 from 25 degrees up; below, straight lines through the usual shares (lead-acid 0.80..0.87 at 0 and
///          0.6..0.7 at -15 degrees; lithium iron phosphate 0.8..0.9 at 0 and 0.5..0.7 at -20 degrees), and beyond the
///          last of them that one
/// @throws DomainError  the temperature is outside its range
/// Source: typical data sheets, from memory.
Range capacity_share(Chemistry chemistry, double temperature_c);

/// What a battery has given when its voltage under load falls to where a set switches off, as a share of what it gives
/// in all.
///
/// @param cut_off_v  of that battery for a 12 V set: > 0 V, at most most_cut_off_v of its chemistry
/// @return  1 at and below the least end voltage; above, straight lines through the usual shares, the greater at small
///          currents (20 h), the lesser at large ones (1 h): lead-acid 0.9..1 at 10.8 V, 0.8..0.96 at 11 V, 0.5..0.87
///          at 11.5 V, 0.1..0.6 at 12 V; lithium iron phosphate 0.9..0.98 at 12 V, 0.7..0.95 at 12.5 V, 0.3..0.9 at
///          12.8 V
/// @throws DomainError  a voltage outside its range
/// Source: the shape of discharge curves in typical data sheets, from memory; read it from that of your own battery.
Range share_at_cut_off(Chemistry chemistry, double cut_off_v);

/// A battery as a station states it.
struct Battery {
  Chemistry chemistry = Chemistry::lead_acid_agm;
  double capacity_ah = 0.0;        ///< > 0, at rate_h and 25 degrees C
  double rate_h = 20.0;            ///< > 0
  Range peukert_exponent{1, 1};    ///< >= 1
  Range capacity_share{1.0, 1.0};  ///< of what temperature and cut-off leave, 0 < share <= 1
};

/// Discharge time at a steady current by Peukert's law, h: t = H (s C/(I H))^k, with s the share that cold and cut-off
/// leave.
///
/// @param current_a  > 0
/// @return  infinite when the current is so small that the law leaves every number; a battery ends by its own loss
/// before
/// @throws DomainError  a value of the battery is out of its range, current not > 0
/// Accuracy: 1e-12 of the law; a battery follows the law within some per cent between a tenth of its rated current and
/// its one-hour current, and not beyond.
/// Source: Peukert, Ueber die Abhaengigkeit der Kapacitaet von der Entladestromstaerke bei Bleiakkumulatoren,
/// Elektrotechnische Zeitschrift 20, 1897 (second-hand; checked on printed rows, tests/data/energy).
double discharge_time_h(double capacity_ah, double rate_h, double exponent, double share, double current_a);

/// Exponent from two discharges, k = ln(t1/t2)/ln(I2/I1).
/// @throws DomainError  a value not > 0, equal currents
double peukert_exponent(double current_1_a, double time_1_h, double current_2_a, double time_2_h);

/// One of the things that an operating hour consists of.
struct Draw {
  double current_a = 0.0;  ///< >= 0
  double share = 0.0;      ///< of the time, 0..1; all draws together 1
};

/// Mean of the draws, A.
double mean_current_a(std::span<const Draw> draws);

/// How long a battery carries a mix of draws, h.
///
/// High: the law on the mean current, as if the battery recovered in every pause, with the best exponent and share of
/// their ranges. Low: the law on each draw for its share of the time, as if it never did, with the worst. Both lie
/// within what Peukert's law can say; a real battery lies between.
/// @throws DomainError  as discharge_time_h; shares that do not sum to 1 within 1e-9; every current 0
Range operating_time_h(const Battery& battery, std::span<const Draw> draws);

/// What a little more battery buys, at the operating time of the present one: the law's slope k t/C.
struct BatteryGain {
  Range hours_per_ah;  ///< over the ranges of exponent and time
  Range hours_per_kg;  ///< the same over the usual specific energy of the chemistry
};

/// @param time_h  of operating_time_h, > 0
/// @throws DomainError  as operating_time_h
BatteryGain battery_gain(const Battery& battery, const Range& time_h);

}  // namespace stile::energy
