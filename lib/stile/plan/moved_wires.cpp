#include <stile/plan/moved_wires.hpp>

#include <cmath>

#include <stile/base/errors.hpp>

namespace stile::plan {
namespace {

double distance_m(wire::Vec3 a, wire::Vec3 b) { return std::hypot(a.x_m - b.x_m, a.y_m - b.y_m, a.z_m - b.z_m); }

/// Wires that start at the feed, without those of set and person.
std::vector<std::size_t> trailing_of(const wire::Antenna& antenna) {
  const wire::Vec3 base = antenna.wires[antenna.feed.wire].points.front();
  std::vector<std::size_t> trailing;
  for (std::size_t w = 0; w < antenna.wires.size(); ++w) {
    const wire::Wire& wire = antenna.wires[w];
    if (w == antenna.feed.wire || wire.person || wire.name == "frame" || wire.name == "lead" || wire.name == "set")
      continue;
    if (distance_m(wire.points.front(), base) < 1e-6) trailing.push_back(w);
  }
  return trailing;
}

/// The antenna with its trailing wires moved; nothing where there is no room for it.
std::optional<wire::Antenna> moved_antenna(wire::Antenna antenna, const wire::Ground& ground, Moved moved,
                                           double amount_m) {
  constexpr double least_piece_m = 0.1;
  for (const std::size_t w : trailing_of(antenna)) {
    wire::Wire& wire = antenna.wires[w];
    wire::Vec3& end = wire.points.back();
    const wire::Vec3 before = wire.points[wire.points.size() - 2];
    const double piece_m = distance_m(before, end);
    switch (moved) {
    case Moved::raised:
    case Moved::lowered:
      for (std::size_t p = 1; p < wire.points.size(); ++p) {
        wire.points[p].z_m += moved == Moved::raised ? amount_m : -amount_m;
        if (wire.points[p].z_m < wire::least_height_m(wire)) return std::nullopt;
      }
      break;
    case Moved::end_lifted:
      end.z_m += amount_m;
      break;
    case Moved::shortened:
    case Moved::lengthened: {
      const double left_m = piece_m + (moved == Moved::shortened ? -amount_m : amount_m);
      if (left_m < least_piece_m) return std::nullopt;
      const double share = left_m / piece_m;
      end = {before.x_m + share * (end.x_m - before.x_m), before.y_m + share * (end.y_m - before.y_m),
             before.z_m + share * (end.z_m - before.z_m)};
      break;
    }
    }
  }
  try {
    wire::check_antenna(antenna, ground);
  } catch (const DomainError&) {
    return std::nullopt;  // it touches something
  }
  return antenna;
}

/// Few couplings are kept: those of the wires that stay, since nothing is asked for twice of one that moves.
wire::SolveOptions keeping_little(wire::SolveOptions options) {
  if (!options.known) options.known = std::make_shared<wire::KnownCouplings>(std::size_t{16} << 20);
  return options;
}

}  // namespace

std::string moved_words(Moved moved) {
  switch (moved) {
  case Moved::raised:
    return "the trailing wire raised by";
  case Moved::lowered:
    return "the trailing wire lowered by";
  case Moved::end_lifted:
    return "the trailing wire's end lifted by";
  case Moved::shortened:
    return "the trailing wire shortened by";
  case Moved::lengthened:
    break;
  }
  return "the trailing wire lengthened by";
}

MovedWires::MovedWires(const station::StatedWires& wires, double frequency_hz, const wire::SolveOptions& options)
    : still_(wires.antenna), alike_(wires.antenna, wires.ground, frequency_hz, keeping_little(options)) {
  if (trailing_of(still_).empty()) return;
  for (const Moved moved : all_moves) {
    Place& place = places_[static_cast<std::size_t>(moved)];
    for (std::size_t step = 1; step < amount_m.size(); ++step) {
      auto antenna = moved_antenna(still_, wires.ground, moved, amount_m[step]);
      if (!antenna) break;
      place.at.push_back(std::move(*antenna));
    }
    place.load_ohm.resize(place.at.size());
  }
}

std::size_t MovedWires::last(Moved moved) const { return of(moved).at.size(); }

cdouble MovedWires::load_ohm(Moved moved, std::size_t step) {
  Place& place = places_[static_cast<std::size_t>(moved)];
  require(step <= place.at.size(), "the wires cannot be moved so far");
  std::optional<cdouble>& known = step ? place.load_ohm[step - 1] : still_ohm_;
  if (!known) known = alike_.feed_ohm(step ? place.at[step - 1] : still_);
  return *known;
}

}  // namespace stile::plan
