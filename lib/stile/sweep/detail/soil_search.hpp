#pragma once
// The search of calibrate(), with whatever solves the antenna. Inner part of the calibration.

#include <functional>
#include <vector>

#include <stile/sweep/calibrate.hpp>

namespace stile::sweep::detail {

/// Impedance of a case's antenna without base capacitance and leakage, ohm, over soil of these two numbers, at each
/// frequency.
using AntennaSolver = std::function<std::vector<cdouble>(const wire::WireCase& wire_case, double permittivity,
                                                         double conductivity_s_m, const std::vector<double>& f)>;

/// As calibrate(), which solves by wire::sweep_antenna.
Calibration calibrate_with(const AntennaSolver& solved, const std::vector<wire::WireCase>& cases,
                           const std::vector<MeasuredCondition>& measured, const CalibrateOptions& options,
                           const std::function<void(std::size_t)>& progress);

}  // namespace stile::sweep::detail
