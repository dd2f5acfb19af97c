#include <stile/wire/detail/mesh.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/wire/vec3.hpp>

namespace stile::wire::detail {

namespace {

constexpr double cells_per_wavelength = 60.0;
constexpr double cells_per_wire = 12.0;
constexpr double growth = 0.4;  // of the size with distance from a small cell
// Beside a person, whom a hand may join to the set, whip and wires are nearer to resonances of higher order: below this
// wavelength cells shorten with its square, those of insulated wires by the share that waves on them may be shorter,
// and free ends to a share of it.
constexpr double carried_wavelength_m = 20.0, carried_cells_m = 22.0;
constexpr double insulated_wave = 0.85;
constexpr double free_ends_per_wavelength = 6000.0;
constexpr double beside_free_end = 2.0;  // of the distance to another wire's free end, whose charge a cell there meets

/// Distances along a wire.
struct Piece {
  double from_m, to_m;
};

struct Break {
  double distance_m;
  double size_m;  // of cells beside it
};

[[noreturn]] void refuse_size(std::size_t max_unknowns) {
  const double n = static_cast<double>(max_unknowns);
  throw DomainError(
      fmt::format("more than {} unknowns, which would take more than {:.3g} MB; the antenna is too large for "
                  "its wavelength or the fineness too high",
                  max_unknowns, 16e-6 * n * n));
}

/// Distances where cells between two breaks meet, the second break included, the first left out.
std::vector<double> cut(Break a, Break b, double largest_m, double slope, std::size_t max_unknowns) {
  constexpr int samples = 256;
  const double length = b.distance_m - a.distance_m;
  const auto size = [&](double s) {
    return std::min({largest_m, a.size_m + slope * s, b.size_m + slope * (length - s)});
  };
  std::vector<double> sum(samples + 1, 0.0);
  for (int i = 0; i < samples; ++i)
    sum[static_cast<std::size_t>(i) + 1] =
        sum[static_cast<std::size_t>(i)] + length / samples / size((i + 0.5) / samples * length);
  if (sum.back() > static_cast<double>(max_unknowns)) refuse_size(max_unknowns);
  const int n = std::max(1, static_cast<int>(std::ceil(sum.back() - 0.3)));
  std::vector<double> cuts;
  std::size_t i = 0;
  for (int c = 1; c < n; ++c) {
    const double wanted = sum.back() * c / n;
    while (sum[i + 1] < wanted) ++i;
    cuts.push_back(a.distance_m +
                   length / samples * (static_cast<double>(i) + (wanted - sum[i]) / (sum[i + 1] - sum[i])));
  }
  cuts.push_back(b.distance_m);
  return cuts;
}

std::vector<double> even_cuts(double from, double to, int n) {
  std::vector<double> cuts;
  for (int c = 1; c <= n; ++c) cuts.push_back(c == n ? to : from + (to - from) * c / n);
  return cuts;
}

std::size_t meeting(const std::vector<Wire>& wires, Vec3 at) {
  std::size_t ends = 0;
  for (const Wire& w : wires) {
    for (std::size_t p = 0; p < w.points.size(); ++p) {
      if (same_place(w.points[p], at)) ends += (p == 0 || p + 1 == w.points.size()) ? 1U : 2U;
    }
  }
  return ends;
}

class Mesher {
public:
  Mesher(const Antenna& antenna, const Ground& ground, double frequency_hz, double fineness, std::size_t max_unknowns)
      : antenna_(antenna), perfect_(ground.kind == GroundKind::perfect), fineness_(fineness),
        max_unknowns_(max_unknowns), wavelength_m_(speed_of_light_m_s / frequency_hz),
        short_wave_(wavelength_m_ < carried_wavelength_m &&
                    std::any_of(antenna.wires.begin(), antenna.wires.end(), [](const Wire& w) { return w.person; })),
        feed_at_(antenna.wires[antenna.feed.wire].points.front()) {
    gap_m_ = on_ground(feed_at_) ? antenna.feed.gap_m : 0.5 * antenna.feed.gap_m;
  }

  Mesh run() {
    for (std::size_t w = 0; w < antenna_.wires.size(); ++w) cut_wire(w);
    add_functions();
    for (std::size_t n = 0; n < antenna_.lumps.size(); ++n) mesh_.lumps.push_back(place_of(n));
    return std::move(mesh_);
  }

private:
  bool on_ground(Vec3 p) const { return perfect_ && p.z_m <= joint_m; }

  int coil_cells() const { return std::max(1, static_cast<int>(std::lround(2.0 * fineness_))); }

  void cut_wire(std::size_t index) {
    const Wire& w = antenna_.wires[index];
    double largest = wavelength_m_ / cells_per_wavelength;
    if (short_wave_) largest *= (w.insulation ? insulated_wave : 1.0) * wavelength_m_ / carried_cells_m;
    largest = std::min(largest, wire_length_m(w) / cells_per_wire) / fineness_;
    largest = std::max(largest, 4.0 * w.radius_m);
    double at = 0.0;
    for (std::size_t p = 1; p < w.points.size(); ++p) {
      const double next = at + norm(w.points[p] - w.points[p - 1]);
      cut_piece(index, p, at, next, largest);
      at = next;
      if (mesh_.cells.size() > max_unknowns_) refuse_size(max_unknowns_);
    }
  }

  double size_at(Vec3 p, double largest, double radius_m) const {
    if (on_ground(p)) return 0.5 * largest;
    const bool free_end = meeting(antenna_.wires, p) == 1;
    double size = (free_end ? 0.25 : 0.5) * largest;
    if (free_end && short_wave_) size = std::min(size, wavelength_m_ / free_ends_per_wavelength / fineness_);
    return std::max(size, std::min(4.0 * radius_m, largest));
  }

  void cut_piece(std::size_t index, std::size_t point, double from, double to, double largest) {
    const Wire& w = antenna_.wires[index];
    const Vec3 first = w.points[point - 1], last = w.points[point];
    const Vec3 direction = (1.0 / (to - from)) * (last - first);
    std::vector<Break> breaks{{from, size_at(first, largest, w.radius_m)}, {to, size_at(last, largest, w.radius_m)}};
    double gap_start = 0.0, gap_end = 0.0;  // distances of gap cells at either end, none: 0
    if (same_place(first, feed_at_)) {
      gap_start = from + gap_m_;
      breaks.push_back({gap_start, gap_m_});
    }
    if (same_place(last, feed_at_)) {
      gap_end = to - gap_m_;
      breaks.push_back({gap_end, gap_m_});
    }
    struct Spread {
      double low, high;
      int coil;
    };
    std::vector<Spread> coils;
    for (std::size_t c = 0; c < antenna_.coils.size(); ++c) {
      const WireCoil& coil = antenna_.coils[c];
      if (coil.wire != index || coil.distance_m < from - joint_m || coil.distance_m > to + joint_m) continue;
      const double low = std::max(coil.distance_m - 0.5 * coil.length_m, from);
      const double high = std::min(coil.distance_m + 0.5 * coil.length_m, to);
      const double size =
          coil.length_m > 0.0 ? std::max(coil.length_m / coil_cells(), 2.0 * w.radius_m) : 10.0 * w.radius_m;
      breaks.push_back({low, size});
      if (coil.length_m > 0.0) {
        breaks.push_back({high, size});
        coils.push_back({low, high, static_cast<int>(c)});
      }
    }
    for (const WireLump& lump : antenna_.lumps) {
      if (lump.wire == index && at_feed(lump) == 0 && lump.distance_m > from + joint_m &&
          lump.distance_m < to - joint_m)
        breaks.push_back({lump.distance_m, 10.0 * w.radius_m});
    }
    add_free_ends_beside(index, first, direction, {from, to}, largest, breaks);
    std::sort(breaks.begin(), breaks.end(), [](Break a, Break b) { return a.distance_m < b.distance_m; });
    std::vector<Break> merged;
    for (const Break& b : breaks) {
      if (!merged.empty() && b.distance_m - merged.back().distance_m <= joint_m)
        merged.back().size_m = std::min(merged.back().size_m, b.size_m);
      else
        merged.push_back(b);
    }
    double start = from;
    const auto add = [&](double end, double feed_v_m, int coil) {
      mesh_.cells.push_back(
          {index, first + (start - from) * direction, direction, end - start, w.radius_m, start, feed_v_m, coil});
      start = end;
    };
    const double gap_field = feed_field(index, point);
    for (std::size_t i = 1; i < merged.size(); ++i) {
      const Break a = merged[i - 1], b = merged[i];
      const double middle = 0.5 * (a.distance_m + b.distance_m);
      const auto in = [&](double low, double high) { return middle > low && middle < high; };
      const auto spread = std::find_if(coils.begin(), coils.end(), [&](const Spread& s) { return in(s.low, s.high); });
      if (gap_start > 0.0 && in(from, gap_start))
        add(b.distance_m, gap_field, -1);
      else if (gap_end > 0.0 && in(gap_end, to))
        add(b.distance_m, -gap_field, -1);
      else if (spread != coils.end())
        for (const double end : even_cuts(a.distance_m, b.distance_m, coil_cells())) add(end, 0.0, spread->coil);
      else
        for (const double end : cut(a, b, largest, growth / fineness_, max_unknowns_)) add(end, 0.0, -1);
    }
  }

  /// A break where a free end of another wire lies so near this piece that cells there are to be shorter.
  void add_free_ends_beside(std::size_t index, Vec3 first, Vec3 direction, Piece piece, double largest,
                            std::vector<Break>& breaks) const {
    for (std::size_t other = 0; other < antenna_.wires.size(); ++other) {
      if (other == index) continue;
      const std::vector<Vec3>& points = antenna_.wires[other].points;
      for (const Vec3 end : {points.front(), points.back()}) {
        const double along = dot(end - first, direction);
        const double size =
            std::max(beside_free_end * norm(end - first - along * direction), 4.0 * antenna_.wires[index].radius_m);
        if (along <= joint_m || along >= piece.to_m - piece.from_m - joint_m || size >= largest) continue;
        if (!on_ground(end) && meeting(antenna_.wires, end) == 1) breaks.push_back({piece.from_m + along, size});
      }
    }
  }

  /// Field of 1 V at the feed, away from the node: along the fed wire, and back along each of the others.
  double feed_field(std::size_t index, std::size_t point) const {
    const bool fed = index == antenna_.feed.wire && point == 1;
    return (fed ? 1.0 : -1.0) / antenna_.feed.gap_m;
  }

  void add_functions() {
    struct Node {
      Vec3 at;
      std::vector<HalfFunction> out;  // current away from the node
    };
    std::vector<Node> nodes;
    const auto attach = [&](Vec3 at, HalfFunction half) {
      auto found = std::find_if(nodes.begin(), nodes.end(), [&](const Node& n) { return same_place(n.at, at); });
      if (found == nodes.end()) found = nodes.insert(nodes.end(), Node{at, {}});
      found->out.push_back(half);
    };
    for (std::size_t c = 0; c < mesh_.cells.size(); ++c) {
      const Cell& cell = mesh_.cells[c];
      attach(cell.start, {c, 0, 1.0});
      attach(cell.start + cell.length_m * cell.direction, {c, 1, -1.0});
    }
    for (const Node& n : nodes) {
      if (on_ground(n.at)) {
        for (const HalfFunction& h : n.out) mesh_.functions.push_back({{h}, -1});
        continue;
      }
      for (std::size_t k = 1; k < n.out.size(); ++k) {
        HalfFunction in = n.out[0];
        in.sign = -in.sign;
        mesh_.functions.push_back({{in, n.out[k]}, n.out.size() == 2 ? coil_at(n.out[0].cell, n.at) : -1});
      }
    }
  }

  /// 1 or -1 for a lump within the gap of the fed wire or of the only other one, which is in series with the terminals.
  int at_feed(const WireLump& lump) const {
    if (lump.distance_m > gap_m_ + joint_m) return 0;
    if (lump.wire == antenna_.feed.wire) return 1;
    const bool alone = meeting(antenna_.wires, feed_at_) == 2;
    return alone && same_place(antenna_.wires[lump.wire].points.front(), feed_at_) ? -1 : 0;
  }

  LumpPlace place_of(std::size_t lump_index) const {
    const WireLump& lump = antenna_.lumps[lump_index];
    if (const int side = at_feed(lump); side != 0) return {lump_index, 0, 0, side};
    std::size_t best = 0;
    int end = 0;
    double nearest = HUGE_VAL;
    for (std::size_t c = 0; c < mesh_.cells.size(); ++c) {
      const Cell& cell = mesh_.cells[c];
      if (cell.wire != lump.wire) continue;
      for (const int e : {0, 1}) {
        const double away = std::abs(cell.distance_m + e * cell.length_m - lump.distance_m);
        if (away < nearest) nearest = away, best = c, end = e;
      }
    }
    return {lump_index, best, end, 0};
  }

  int coil_at(std::size_t cell, Vec3 at) const {
    const Cell& c = mesh_.cells[cell];
    const double distance = c.distance_m + norm(at - c.start);
    for (std::size_t i = 0; i < antenna_.coils.size(); ++i) {
      const WireCoil& coil = antenna_.coils[i];
      if (coil.length_m == 0.0 && coil.wire == c.wire && std::abs(coil.distance_m - distance) <= 2.0 * joint_m)
        return static_cast<int>(i);
    }
    return -1;
  }

  const Antenna& antenna_;
  bool perfect_;
  double fineness_;
  std::size_t max_unknowns_;
  double wavelength_m_;
  bool short_wave_;  // with a person
  Vec3 feed_at_;
  double gap_m_ = 0.0;
  Mesh mesh_;
};

}  // namespace

std::vector<double> lump_weights(const Mesh& mesh, const LumpPlace& place) {
  std::vector<double> weights(mesh.functions.size(), 0.0);
  if (place.at_feed != 0) {
    weights = feed_weights(mesh);
    for (double& w : weights) w *= place.at_feed;
    return weights;
  }
  for (std::size_t f = 0; f < weights.size(); ++f) {
    for (const HalfFunction& h : mesh.functions[f].halves) {
      if (h.cell == place.cell && h.end == place.end) weights[f] += h.sign;
    }
  }
  return weights;
}

std::vector<double> feed_weights(const Mesh& mesh) {
  std::vector<double> weights(mesh.functions.size(), 0.0);
  for (std::size_t f = 0; f < weights.size(); ++f) {
    for (const HalfFunction& h : mesh.functions[f].halves)
      weights[f] += 0.5 * h.sign * mesh.cells[h.cell].feed_v_m * mesh.cells[h.cell].length_m;
  }
  return weights;
}

Mesh make_mesh(const Antenna& antenna, const Ground& ground, double frequency_hz, double fineness,
               std::size_t max_unknowns) {
  return Mesher(antenna, ground, frequency_hz, fineness, max_unknowns).run();
}

}  // namespace stile::wire::detail
