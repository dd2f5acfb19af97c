#pragma once
// A number of a station file found by its path, and put to another value in the text.

#include <string>
#include <string_view>
#include <vector>

#include <stile/station/station.hpp>

namespace stile::station {

/// What stands in the file where a path leads, as it is written: "5 W", "0.15"; of a wire's points their length, "7.5
/// m".
///
/// A path is keys with points between, as TOML writes them: "transmitter.power". An item of a list is told by its name
/// (or condition) or by its number from 1: "band.40 m.low", "band.40 m.use.1"; a name with points in it stands in
/// quotes. A path goes on into the wires file that a load or an antenna names: "load.lifted.wire.counterpoise.length";
/// what is changed there is so for every load that names the file. A wire drawn by its points has a "length".
///
/// @throws ParseError  the path leads nowhere, or to what is no number; a file that cannot be read: with what would be
/// legal
std::string number_at(const StationText& stated, std::string_view path);

/// The same text with that number put to a value, which is written as a reader takes it: "8 W", "0.2". Everything else,
/// lines and comments included, stays. A length of points moves the last of them along its straight piece.
///
/// @throws ParseError  as number_at; a length that ends before the last straight piece begins
StationText with_number(StationText stated, std::string_view path, const std::string& value);

/// A number to be varied.
struct Vary {
  std::string what;                ///< its path
  std::string unit;                ///< as written: "m", "MHz"; empty: a plain number, or SI
  std::vector<double> values;      ///< in that unit, evenly from first to last; at least two
  std::vector<std::string> texts;  ///< the same as the file would state them: "4.5 m"
  std::vector<std::string>
      shown;  ///< the same for people: four digits, more only where two neighbours would look alike
};

inline constexpr int most_vary_steps = 1000;

/// "WHAT=FROM:TO:N": N values from FROM to TO, both included, N 2 to most_vary_steps; the ends with one unit, or none.
/// @throws ParseError  anything else
Vary read_vary(std::string_view text, const std::string& where = "--vary");

}  // namespace stile::station
