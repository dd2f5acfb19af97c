#pragma once
// An antenna of wires, read from a file of its own.

#include <string>
#include <string_view>
#include <vector>

#include <stile/wire/wire_case.hpp>

namespace stile::station {

struct WiresOptions {
  bool person_spread = false;  ///< behind each condition the same with the person at each of its corners
};

/// Reads a wires file. README describes its keys.
///
/// @return  one case for each [[condition]], in their order; without such a table one, called "as drawn"; a hand on the
///          set without a stated contact is one for each of hand_contacts; with person_spread each followed by its
///          corners
/// @throws ParseError  unreadable, an unknown or missing key, an illegal value, a geometry that check_antenna refuses:
///                     with file, line and column and what would be legal; a person_spread without [person]
std::vector<wire::WireCase> read_wires(std::string_view text, const std::string& file,
                                       const WiresOptions& options = {});

/// The same of a file; "-" reads standard input.
std::vector<wire::WireCase> load_wires(const std::string& path);

}  // namespace stile::station
