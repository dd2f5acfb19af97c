#pragma once
// An antenna whose trailing wires are moved, all of them together, step by step.

#include <array>
#include <optional>
#include <string>
#include <vector>

#include <stile/station/station.hpp>
#include <stile/wire/alike.hpp>

namespace stile::plan {

/// What becomes of the trailing wires.
enum class Moved {
  raised,      ///< all but their start higher
  lowered,     ///< the same, lower
  end_lifted,  ///< their far end alone higher
  shortened,   ///< from the far end
  lengthened,
};
inline constexpr std::array<Moved, 5> all_moves{Moved::raised, Moved::lowered, Moved::end_lifted, Moved::shortened,
                                                Moved::lengthened};

/// "the trailing wire raised by", "... its end lifted by": in front of a length.
std::string moved_words(Moved moved);

/// Loads of an antenna of wires at each step of each move, solved when they are first asked for. Trailing are the wires
/// that start at the feed, those of set and person left out. One thread at a time.
class MovedWires {
public:
  static constexpr std::array<double, 7> amount_m{0.0, 0.02, 0.05, 0.1, 0.2, 0.4, 0.8};

  /// @throws DomainError  as wire::solve_antenna
  MovedWires(const station::StatedWires& wires, double frequency_hz, const wire::SolveOptions& options = {});

  /// The last of amount_m that the geometry allows; 0 where there is no room, or no trailing wire.
  std::size_t last(Moved moved) const;

  /// @param step  of amount_m, at most last(moved)
  /// @throws DomainError  beyond it; as wire::solve_antenna
  cdouble load_ohm(Moved moved, std::size_t step);

private:
  struct Place {
    std::vector<wire::Antenna> at;  // at step 1, 2, ...
    std::vector<std::optional<cdouble>> load_ohm;
  };
  const Place& of(Moved moved) const { return places_[static_cast<std::size_t>(moved)]; }

  wire::Antenna still_;
  wire::AlikeAntennas alike_;
  std::optional<cdouble> still_ohm_;
  std::array<Place, all_moves.size()> places_;
};

}  // namespace stile::plan
