#pragma once
// The way of an impedance through a ladder, and its picture in the reflection plane.

#include <string>
#include <vector>

#include <stile/base/quantity.hpp>
#include <stile/network/element.hpp>
#include <stile/plots/chart.hpp>

namespace stile::plots {

/// What one element does to the impedance.
struct MatchStep {
  std::string label;              ///< "L1, series 38 uH"
  std::vector<cdouble> path_ohm;  ///< from the element grown to nothing up to its full value; two points or more
};

/// From the load towards the transmitter: the impedance while each element grows from nothing to its full value. A
/// series element counts as z + t z_e, a shunt element as y + t y_e, t = 0..1; a line grows in length; a transformer
/// jumps.
///
/// @param frequency_hz   > 0
/// @param z_load_ohm     finite, real part >= 0
/// @param reference_ohm  > 0: neighbouring points are about 0.02 apart in the reflection plane of this resistance
/// @return  one step an element, the last element of the ladder first; each starts where the one before ends
/// @throws DomainError  a value outside its range, or an element ends in an open circuit
/// Accuracy: the last point is the ladder's input impedance within 1e-9 (test_match_path.cpp); every point is on the
/// exact curve.
/// Source: series: reflection = 1 - 2 Z0/(z + t z_e + Z0), a Moebius map of t, so with t = Re p + |Im p| tan(phi), p
/// its pole, equal steps of phi are equal steps along the circle. Shunt: the same in admittances.
std::vector<MatchStep> match_path(const network::Ladder& ladder, double frequency_hz, cdouble z_load_ohm,
                                  double reference_ohm = 50.0);

/// One condition, as "wire in wet peat".
struct SmithPath {
  std::string condition;         ///< may be empty when there is one
  cdouble z_load_ohm{};          ///< finite, real part >= 0
  std::vector<MatchStep> steps;  ///< of match_path; empty: the load alone
};

struct SmithOptions {
  double reference_ohm = 50.0;  ///< > 0
  double swr_limit = 2.0;       ///< > 1
};

/// The reflection plane with circles of constant resistance and reactance, labelled in ohm: readers of the chart
/// measure and buy in ohm, and the reference is stated once at the foot. The n-th element has the same look in every
/// condition; a mark stands at its end. Load and input are marked and named, and listed below with the SWR. More than
/// three conditions, or long names, go by the letters A, B, C ... of the list. Loads whose marks would lie on each
/// other, as those of a short whip at the rim, are magnified below the plane, with the same lines, marks and names.
///
/// @param paths  1..26
/// @throws DomainError  a value outside its range
Chart smith_chart(const std::vector<SmithPath>& paths, const SmithOptions& options, const ChartText& text);

}  // namespace stile::plots
