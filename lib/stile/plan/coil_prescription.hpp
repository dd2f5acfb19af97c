#pragma once
// A station's coil as its plan sets it: what to wind, where to tap it, what stands beside it. Coil tool, build sheet
// and template take it from here.

#include <optional>
#include <string>
#include <vector>

#include <stile/coil/design.hpp>
#include <stile/coil/ratings.hpp>
#include <stile/plan/plan.hpp>

namespace stile::plan {

/// Another coil of a setting, wound by itself on the same former.
struct OwnWinding {
  std::size_t element = 0;    ///< of Setting::elements
  double turns = 0.0;         ///< nearest to the plan's inductance; 0: none up to the limit has it
  double inductance_h = 0.0;  ///< of these turns
};

/// One arrangement on one band in one condition. Where it is not possible only the first block is set.
struct CoilSetting {
  std::string band, arrangement, condition;
  double frequency_hz = 0.0;  ///< the band's design frequency
  cdouble load_ohm{};
  bool possible = false;

  Setting setting;  ///< the plan's; of a coil that it states by its inductance with the tap found for it
  std::optional<double> planned_h;  ///< of such a coil: the plan's inductance
  double left_ohm = 0.0;            ///< of such a coil: reactance at the tap beyond the plan's
  bool reached = true;              ///< false: no tap has the plan's reactance
  std::string winding_warning;      ///< of such a coil, with band and condition: what the winding cannot give, or a tap
                                ///< that leaves more reactance than half of the resistance at the base; empty: neither
  std::vector<OwnWinding> windings;      ///< its elements that are coils, but the tapped one
  std::optional<std::size_t> wound;      ///< which of its elements is the coil; of an autotransformer, which all its
                                         ///< elements are, the first; nothing: bypassed
  std::vector<network::Element> beside;  ///< its elements that are not the coil
  bool part_way = false;                 ///< the coil is part-way up the whip, all of it, and no element is the coil
  double swr = 0.0, loss_db = 0.0;       ///< the plan's worst over the part in use
  bool holds = false;                    ///< SWR and ratings, as stated; and the winding gives it
  match::Bandwidth bandwidth;
  double current_a_rms =
      0.0;  ///< into the coil at its transmitter's end; 0: bypassed. Of an autotransformer that which
            ///< gives the turns in use the voltage they have, or the antenna's, if that is more
  double load_voltage_v_peak = 0.0;      ///< worst over the part in use
  std::optional<coil::CoilPoint> point;  ///< the turns in use by themselves, grounded at the transmitter's end, or
                                         ///< part-way up a whip floating; nothing: bypassed
  std::optional<coil::CoilRatings> ratings;

  bool in_use() const { return wound || part_way; }
};

/// A place of the wire with what it serves.
struct CoilTap {
  double turns = 0.0;
  std::string serves;  ///< "80 m: lifted, on heather; 40 m", a band alone in all its conditions; an autotransformer's
                       ///< tap of the transmitter "transmitter on 40 m"
};

struct CoilPrescription {
  std::string coil;  ///< its name in the station; empty: the plan states inductances, and the winding is another's
  coil::Winding winding;
  std::vector<std::string> arrangements;  ///< that use it
  std::vector<CoilSetting> settings;      ///< by band, arrangement and condition
  std::vector<CoilTap> taps;              ///< rising, each once
  std::vector<std::string>
      unserved;  ///< bands on which no arrangement holds in every normal condition, with the reason
};

/// What to wind for a coil of a station.
///
/// @param plan         make_plan of the station
/// @param coil         name of a coil that arrangements use
/// @param arrangement  the only one that counts; empty: all that use the coil
/// @param conditions   those that count; empty: all. The settings are the same: those of the plan
/// @param service      its current is replaced by each setting's
/// @throws DomainError  no arrangement uses the coil, or two wind it with different turns
CoilPrescription coil_prescription(const station::Station& station, const Plan& plan, const std::string& coil,
                                   const std::string& arrangement, const std::vector<std::string>& conditions,
                                   const coil::Service& service);

/// Arrangements whose coils the plan states by inductance alone ("base coil", "L network"), in the station's order.
std::vector<std::size_t> arrangements_of_parts(const station::Station& station);

/// Of these the one that the plan takes on most bands; of equals the one that holds on most, then the first. Nothing:
/// none.
std::optional<std::size_t> arrangement_to_wind(const station::Station& station, const Plan& plan);

/// What a tapped coil has to be on one band in one condition, to be the plan's.
struct PartToWind {
  std::string band, condition;
  std::size_t element = 0;  ///< of Setting::elements: of coils in series the last, else the first
  coil::BandTarget
      target;  ///< what takes away the plan's reactance, with the antenna's resistance, but a tenth of it at most
};

/// The coils of an arrangement in these conditions (empty: all); not where the plan bypasses it or nothing can be set.
std::vector<PartToWind> parts_to_wind(const station::Station& station, const Plan& plan, std::size_t arrangement,
                                      const std::vector<std::string>& conditions);

/// The same of inductances that the plan states: the taps of a winding at which it shows the plan's reactance, and
/// turns of the same former for a coil beside it. SWR and loss are the plan's, with exactly its values. What no tap or
/// no turns have does not hold.
///
/// @param parts       parts_to_wind
/// @param design      of a winding with the targets of `parts`, in their order
/// @param most_turns  of a coil beside it, 1 to 400
/// @throws DomainError  the design is of other parts
CoilPrescription prescription_of_parts(const station::Station& station, const Plan& plan, std::size_t arrangement,
                                       const std::vector<PartToWind>& parts, const coil::CoilDesign& design,
                                       double most_turns, const std::vector<std::string>& conditions,
                                       const coil::Service& service);

}  // namespace stile::plan
