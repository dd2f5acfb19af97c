#pragma once
// The files that a station's text leads to.

#include <string>
#include <vector>

#include <stile/station/station.hpp>

namespace stile::station {

/// A file beside the station: what a [[load]] or [[antenna]] names under "wires", "file" or "shares", and [exposure]
/// under "levels".
struct NamedFile {
  std::string path;  ///< as it is opened
  std::string text;
};

/// All of them, in the order of the station, each once.
/// @throws ParseError  the text is no TOML, or a file cannot be read
std::vector<NamedFile> files_named(const StationText& stated);

}  // namespace stile::station
