#pragma once
// Quantities of a command line that have a plausible range: outside it they are refused with what is legal.

#include <optional>
#include <string>
#include <string_view>

#include <stile/base/range.hpp>
#include <stile/station/plausible.hpp>

#include "cli/command_line.hpp"

namespace stile::tools {

/// @throws ParseError  the value, read from the text, is outside the range
void require_plausible(double value, std::string_view text, const station::Plausible& range, const Where& where);

/// A quantity. @throws ParseError  as read_sized, or outside the range
double read_plausible(std::string_view text, const station::Plausible& range, const Where& where);

/// An impedance with a real part > 0; the range is of its magnitude. @throws ParseError
cdouble read_plausible_impedance(std::string_view text, const station::Plausible& range, const Where& where);

/// "FROM:TO", FROM < TO, both in the range. @throws ParseError
Range read_plausible_limits(std::string_view text, const station::Plausible& range, const std::string& option);

/// An option's quantity, where it is given. @throws ParseError
std::optional<double> find_plausible(const Arguments& arguments, const std::string& option,
                                     const station::Plausible& range);
/// The same with a default.
double plausible_or(const Arguments& arguments, const std::string& option, const station::Plausible& range,
                    double otherwise);

}  // namespace stile::tools
