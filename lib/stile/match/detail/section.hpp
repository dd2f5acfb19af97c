#pragma once
// Two adjacent parts that turn a load into a wanted impedance, in closed form with losses. Internal to the room.

#include <array>
#include <optional>
#include <vector>

#include <stile/match/match.hpp>

namespace stile::match::detail {

/// A part of unknown size at one frequency: impedance w/(1 + j w_cp w) with w = z0 + zeta t, where t > 0 is the
/// reactance (w L or 1/(w C)).
struct UnknownPart {
  PartKind kind = PartKind::inductor;
  network::Place place = network::Place::series;
  cdouble z0{}, zeta{};
  double parallel_siemens = 0.0;  ///< w Cp
};

UnknownPart unknown_part(PartKind kind, network::Place place, const PartStock& stock, double frequency_hz);

/// The part of the stated reactance as an element.
network::Element make_element(const UnknownPart& part, double t_ohm, const PartStock& stock, double frequency_hz);

struct SectionRoot {
  double transmitter_side_ohm = 0.0;  ///< t of the part on the transmitter's side, > 0
  double load_side_ohm = 0.0;         ///< t of the part on the load's side, > 0
};

/// All pairs of reactances for which `transmitter_side` followed by `load_side` shows z_target at its input when
/// closed by z_load: the quadratic's root with +sqrt first, that with -sqrt second, each only where both reactances
/// are positive. The order makes either root a continuous function of the other quantities.
std::array<std::optional<SectionRoot>, 2> solve_section(const UnknownPart& transmitter_side,
                                                        const UnknownPart& load_side, cdouble z_target, cdouble z_load);

/// The reactance of one part between z_target and z_load, if it is > 0. It is exact only where one part can do it at
/// all: the caller has to look at the match.
std::optional<double> solve_part(const UnknownPart& part, cdouble z_target, cdouble z_load);

/// All t > 0 with which the part's own reactance (in shunt: susceptance) is +-`size`. Up to four where a coil has a
/// self-capacitance: below and above its resonance, and with losses close to it on both sides.
std::vector<double> reactances_of_size(const UnknownPart& part, double size);

/// z after one part in front of it (towards the transmitter).
cdouble through(const UnknownPart& part, double t_ohm, cdouble z);

/// What must follow `part` so that the input shows z_target: the inverse of through().
cdouble behind(const UnknownPart& part, double t_ohm, cdouble z_target);

}  // namespace stile::match::detail
