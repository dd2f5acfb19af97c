#pragma once
// A wires file with other soil and another base capacitance: what a calibration found, as a file that is read again.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <stile/wire/ground.hpp>

namespace stile::station {

/// A condition by its name in the file, or "as drawn" of a file without conditions, with the soil it gets.
struct ConditionGround {
  std::string condition;
  wire::Ground ground;  ///< lossy
};

/// The file's tables with the grounds of some conditions and the base capacitance replaced. Comments and the order of
/// keys are lost; everything else is as it was.
///
/// @param text, file  a wires file as read_wires reads it
/// @param counterpoise_factor  lengths of all wires but the feed's times this, > 0: of points level from the feed, of
/// `length`
/// @param remarks     comment lines for its head, without the leading '#'
/// @throws ParseError   the text is not TOML, or a condition is not in it
/// @throws DomainError  a ground is not lossy, or the capacitance is below 0
/// Accuracy: read_wires gives the grounds and the capacitance back to the last bit.
std::string with_calibration(std::string_view text, const std::string& file,
                             const std::vector<ConditionGround>& grounds,
                             const std::optional<double>& base_capacitance_f,
                             const std::vector<std::string>& remarks = {}, double counterpoise_factor = 1.0);

}  // namespace stile::station
