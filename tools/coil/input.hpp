#pragma once
// A winding, and what it carries, from the command line.

#include <optional>
#include <string>
#include <vector>

#include <stile/coil/ratings.hpp>
#include <stile/coil/winding.hpp>

#include "cli/command_line.hpp"

namespace stile::tools {

/// --diameter, --former, --pitch, --wire, --wall, --metal, --temperature, --material, --field-share, and metal near
/// the coil.
std::vector<Option> winding_options();

/// One section with these turns; `base` gives what the command line leaves out.
/// @throws UsageError, ParseError  something is missing or contradicts; DomainError  it cannot be wound
coil::Winding read_winding(const Arguments& arguments, double turns,
                           const std::optional<coil::Winding>& base = std::nullopt);

/// --mode, --duty, --ambient, --altitude, --wire-limit.
std::vector<Option> service_options();

/// Current left at 0. @throws ParseError, DomainError
coil::Service read_service(const Arguments& arguments);

/// Quantities with commas between them, all > 0: "0.8mm,1mm". @throws ParseError
std::vector<double> read_list(const Arguments& arguments, const std::string& option, Unit unit,
                              const std::vector<double>& otherwise);

/// "120g", "0.12kg"; a bare number is kilograms; > 0. @throws ParseError
double read_mass(const Arguments& arguments, const std::string& option, double otherwise);

/// Degrees Celsius: "40" or "40C". @throws ParseError
double read_temperature(const Arguments& arguments, const std::string& option, double otherwise);

}  // namespace stile::tools
