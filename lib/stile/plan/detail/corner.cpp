#include <stile/plan/detail/corner.hpp>

#include <algorithm>
#include <cmath>
#include <random>

#include <stile/base/errors.hpp>

namespace stile::plan::detail {
namespace {

constexpr int contact_steps = 8, ground_steps = 4, length_steps = 8;

double stretched(double factor, double stretch) { return factor <= 1.0 ? factor : 1.0 + (factor - 1.0) * stretch; }

void set(Corner& corner, const Levels& levels, double value) {
  switch (levels.input) {
  case Input::ground:
    corner.ground = value;
    corner.lying_ground = stretched(value, levels.lying_stretch);
    break;
  case Input::lengths:
    corner.lengths = value;
    break;
  case Input::temperature:
    corner.temperature_c = value;
    break;
  case Input::q:
    corner.q = value;
    break;
  case Input::contact:
    corner.contact_ohm = value;
    break;
  case Input::hand:
    corner.hand = value;
    break;
  case Input::whip_q:
    corner.whip_q = value;
    break;
  }
}

bool has_contact_range(const station::Station& station) {
  for (const station::Antenna& antenna : station.antennas) {
    for (const station::AntennaLoad& load : antenna.loads) {
      if (!load.ends.empty()) return true;
    }
  }
  return false;
}

bool has_whip_coil(const station::Station& station) {
  for (const station::Antenna& antenna : station.antennas) {
    for (const station::AntennaLoad& load : antenna.loads) {
      const auto* samples = std::get_if<load::SampledLoad>(&load.load.model);
      if (samples == nullptr) continue;
      for (const load::PowerShares& shares : samples->shares) {
        if (shares.coils > 0.0) return true;
      }
    }
  }
  return false;
}

/// Through (0, start), (1/2, middle), (1, end).
template <class Number>
Number quadratic(const Number& start, const Number& middle, const Number& end, double t) {
  return start * ((1.0 - t) * (1.0 - 2.0 * t)) + middle * (4.0 * t * (1.0 - t)) + end * (t * (2.0 * t - 1.0));
}

double lying_stretch(const station::Uncertainty& u) {
  const double most = station::ground_factors(u, false).high;
  return most > 1.0 ? (station::ground_factors(u, true).high - 1.0) / (most - 1.0) : 1.0;
}

struct Inputs {
  std::vector<Levels> common, own;
};

/// What is uncertain at all. As stated is the middle, but for contacts, which add nothing.
Inputs uncertain(const station::Station& station) {
  const station::Uncertainty& u = station.uncertainty;
  Inputs inputs;
  const auto add = [](std::vector<Levels>& to, Input input, double least, double stated, double most,
                      double lying_stretch = 1.0) {
    if (least < most) to.push_back({input, {least, stated, most}, lying_stretch});
  };
  const Range ground = station::ground_factors(u, false);
  add(inputs.common, Input::ground, ground.low, 1.0, ground.high, lying_stretch(u));
  if (has_contact_range(station)) add(inputs.common, Input::hand, 0.0, 0.5, 1.0);
  add(inputs.common, Input::lengths, 1.0 - u.lengths, 1.0, 1.0 + u.lengths);
  if (has_whip_coil(station)) add(inputs.common, Input::whip_q, 1.0 - u.q, 1.0, 1.0 + u.q);
  add(inputs.common, Input::temperature, u.temperature_c.low, 20.0, u.temperature_c.high);
  add(inputs.own, Input::q, 1.0 - u.q, 1.0, 1.0 + u.q);
  add(inputs.own, Input::contact, u.contact_ohm.low, 0.0, u.contact_ohm.high);
  return inputs;
}

/// Levels of every input, as stated first.
std::vector<std::vector<int>> level_rows(std::size_t inputs) {
  std::vector<std::vector<int>> rows{std::vector<int>(inputs, 1)};
  std::vector<int> levels(inputs, 0);
  std::size_t all = 1;
  for (std::size_t n = 0; n < inputs; ++n) all *= 3;
  for (std::size_t k = 0; k < all; ++k) {
    std::size_t rest = k;
    for (int& level : levels) level = static_cast<int>(rest % 3), rest /= 3;
    const auto middles = std::count(levels.begin(), levels.end(), 1);
    const auto n = static_cast<std::ptrdiff_t>(inputs);
    if (middles == n) continue;
    if (n <= 2 || middles == 0 || middles == n - 1) rows.push_back(levels);
  }
  return rows;
}

}  // namespace

Corner CornerGrid::at(std::size_t row, std::size_t column) const {
  Corner corner;
  const auto apply = [&](const std::vector<Levels>& inputs, const std::vector<int>& levels) {
    for (std::size_t n = 0; n < inputs.size(); ++n) {
      if (levels[n] != 1) set(corner, inputs[n], inputs[n].value[static_cast<std::size_t>(levels[n])]);
    }
  };
  apply(common, rows[row]);
  apply(own, columns[column]);
  return corner;
}

CornerGrid corner_grid(const station::Station& station) {
  Inputs inputs = uncertain(station);
  CornerGrid grid{std::move(inputs.common), std::move(inputs.own), {}, {}};
  grid.rows = level_rows(grid.common.size());
  grid.columns = level_rows(grid.own.size());
  return grid;
}

std::vector<Along> along_ranges(const station::Station& station) {
  std::vector<Along> all;
  for (const Levels& levels : uncertain(station).common) {
    const int steps = levels.input == Input::ground    ? ground_steps
                      : levels.input == Input::hand    ? contact_steps
                      : levels.input == Input::lengths ? length_steps
                                                       : 0;
    if (steps == 0) continue;
    const double span = levels.value[2] - levels.value[0];
    std::vector<std::pair<double, std::optional<int>>> values;
    for (int level = 0; level < 3; ++level) {
      const double value = levels.value[static_cast<std::size_t>(level)];
      if (level != 1 || (value > levels.value[0] && value < levels.value[2])) values.emplace_back(value, level);
    }
    for (int k = 1; k < steps; ++k) {
      const double value = levels.value[0] + span * k / steps;
      if (std::abs(value - levels.value[1]) > 1e-9 * span) values.emplace_back(value, std::nullopt);
    }
    std::sort(values.begin(), values.end());
    Along along{levels.input, {}, {}, {}, {}};
    for (const auto& [value, level] : values) {
      along.value.push_back(value);
      along.level.push_back(level);
      along.between.push_back(char{0});
      set(along.corners.emplace_back(), levels, value);
    }
    all.push_back(std::move(along));
  }
  return all;
}

Corner corner_along(const station::Station& station, Input input, double value) {
  Corner corner;
  for (const Levels& levels : uncertain(station).common) {
    if (levels.input == input) set(corner, levels, value);
  }
  return corner;
}

std::vector<Corner> drawn_corners(const station::Station& station, std::size_t count, unsigned seed) {
  const Inputs inputs = uncertain(station);
  if (inputs.common.empty() && inputs.own.empty()) return {};
  std::mt19937 random(seed);
  std::vector<Corner> drawn(count);
  for (Corner& corner : drawn) {
    for (const auto* some : {&inputs.common, &inputs.own}) {
      for (const Levels& input : *some) {
        const double share = static_cast<double>(random()) / 4294967296.0;  // the same with every standard library
        set(corner, input, input.value[0] + share * (input.value[2] - input.value[0]));
      }
    }
  }
  return drawn;
}

double lying_ground(const station::Uncertainty& uncertainty, double ground) {
  return stretched(ground, lying_stretch(uncertainty));
}

double ground_factor(const LoadPoint& point, const Corner& corner) {
  return point.lying ? corner.lying_ground : corner.ground;
}

LoadPoint load_point(const load::Load& load, double frequency_hz) {
  LoadPoint point{frequency_hz, load::load_impedance(load, frequency_hz), load::load_shares(load, frequency_hz),
                  load::load_path_gain(load, frequency_hz)};
  point.load = &load;
  return point;
}

LoadPoint load_point(const station::AntennaLoad& load, double frequency_hz) {
  LoadPoint point = load_point(load.load, frequency_hz);
  point.lying = station::short_wire_lies(load, frequency_hz);
  for (const station::AntennaLoad& end : load.ends) point.ends.push_back(load_point(end.load, frequency_hz));
  return point;
}

LoadPoint at_contact(const LoadPoint& point, double hand) {
  if (point.ends.empty()) return point;
  const LoadPoint &least = point.ends[0], &most = point.ends[1];
  // z(t) = (least + p t)/(1 + q t) through the middle and the most.
  const cdouble apart = most.z_ohm - point.z_ohm;
  const cdouble q = std::abs(apart) > 1e-12 * std::abs(point.z_ohm)
                        ? (2.0 * point.z_ohm - least.z_ohm - most.z_ohm) / apart
                        : cdouble{0.0};
  const auto size = [&](double t) { return std::norm(1.0 + q * t); };
  LoadPoint at{point.frequency_hz, {}, {}, {}, point.lying};
  at.z_ohm = (least.z_ohm + (2.0 * point.z_ohm + q * point.z_ohm - 2.0 * least.z_ohm) * hand) / (1.0 + q * hand);
  const double r_ohm = at.z_ohm.real() * size(hand);
  const auto share = [&](double of_least, double of_middle, double of_most) {
    return quadratic(of_least * least.z_ohm.real(), of_middle * point.z_ohm.real() * size(0.5),
                     of_most * most.z_ohm.real() * size(1.0), hand) /
           r_ohm;
  };
  if (point.shares && least.shares && most.shares && r_ohm > 0.0) {
    const load::PowerShares &a = *least.shares, &b = *point.shares, &c = *most.shares;
    at.shares = {share(a.radiated, b.radiated, c.radiated), share(a.metal, b.metal, c.metal),
                 share(a.ground, b.ground, c.ground),       share(a.person, b.person, c.person),
                 share(a.lumps, b.lumps, c.lumps),          share(a.coils, b.coils, c.coils)};
  }
  if (point.path_gain && least.path_gain && most.path_gain && r_ohm > 0.0)
    at.path_gain = share(*least.path_gain, *point.path_gain, *most.path_gain);
  return at;
}

namespace {

/// Where a load is known that is wanted at a frequency: there, or at the nearest end of its data.
struct Known {
  double frequency_hz = 0.0;
  double inwards_hz = 0.0;  ///< from that end into the data, for the slope there; 0: known where it is wanted
};

Known nearest_known(const load::Load& load, double wanted_hz) {
  if (load::load_covers(load, wanted_hz)) return {wanted_hz, 0.0};
  Known nearest{};
  double least_hz = network::infinite;
  for (const Range& range : load::load_ranges(load)) {
    const double end_hz = std::clamp(wanted_hz, range.low, range.high), off_hz = std::abs(wanted_hz - end_hz);
    if (off_hz >= least_hz) continue;
    least_hz = off_hz;
    const double step_hz = std::min(1e-4 * end_hz, range.high - range.low);
    nearest = {end_hz, wanted_hz > end_hz ? -step_hz : step_hz};
  }
  return nearest;
}

}  // namespace

LoadPoint at_lengths(const LoadPoint& point, double factor) {
  require(point.load != nullptr, "a point of a load at other lengths needs the load");
  const load::Load& load = *point.load;
  const double wanted_hz = factor * point.frequency_hz;
  const Known known = nearest_known(load, wanted_hz);
  LoadPoint at = load_point(load, known.frequency_hz);
  if (known.inwards_hz != 0.0) {
    const cdouble beside_ohm = load::load_impedance(load, known.frequency_hz + known.inwards_hz);
    at.z_ohm += (beside_ohm - at.z_ohm) / known.inwards_hz * (wanted_hz - known.frequency_hz);
    at.z_ohm.real(std::max(0.0, at.z_ohm.real()));
  }
  at.frequency_hz = point.frequency_hz;
  at.lying = point.lying;
  at.path_gain = point.path_gain;
  if (at.path_gain && at.shares && point.shares && point.shares->radiated > 0.0)
    *at.path_gain *= at.shares->radiated / point.shares->radiated;
  for (const LoadPoint& end : point.ends) at.ends.push_back(at_lengths(end, factor));
  return at;
}

LoadPoint at_corner(const LoadPoint& point, const Corner& corner) {
  const LoadPoint at = corner.lengths == 1.0 ? point : at_lengths(point, corner.lengths);
  return corner.hand ? at_contact(at, *corner.hand) : at;
}

cdouble corner_impedance(const LoadPoint& point, const Corner& corner) {
  return {std::max(0.0, point.z_ohm.real()) / corner_share(point, corner), point.z_ohm.imag()};
}

double corner_share(const LoadPoint& point, const Corner& corner) {
  if (!point.shares) return 1.0;
  return 1.0 / (1.0 + (ground_factor(point, corner) - 1.0) * point.shares->ground +
                (1.0 / corner.whip_q - 1.0) * point.shares->coils);
}

std::optional<load::PowerShares> corner_shares(const LoadPoint& point, const Corner& corner) {
  if (!point.shares) return std::nullopt;
  const double all = corner_share(point, corner), coils = point.shares->coils / corner.whip_q;
  load::PowerShares shares = *point.shares;
  shares.radiated *= all;
  shares.ground *= all * ground_factor(point, corner);
  shares.metal = all * (shares.metal - shares.coils + coils);
  shares.coils = all * coils;
  shares.person *= all;
  shares.lumps *= all;
  return shares;
}

double temperature_factor(const Corner& corner, double temperature_c, double coefficient_per_k) {
  if (!corner.temperature_c) return 1.0;
  const auto resistivity = [&](double at_c) { return 1.0 + coefficient_per_k * (at_c - 20.0); };
  return std::sqrt(resistivity(temperature_c) / resistivity(*corner.temperature_c));
}

network::Loss corner_loss(network::Loss loss, const Corner& corner, double temperature_c, double coefficient_per_k) {
  loss.q *= corner.q * temperature_factor(corner, temperature_c, coefficient_per_k);
  loss.series_ohm += corner.contact_ohm;
  return loss;
}

tuner::Tuner corner_tuner(tuner::Tuner tuner, const Corner& corner) {
  Corner coils = corner;
  coils.contact_ohm = 0.0;
  for (tuner::InductorArm* arm : {&tuner.inductors, &tuner.load_inductors}) {
    arm->loss = corner_loss(arm->loss, coils);
    for (network::Loss& loss : arm->losses) loss = corner_loss(loss, coils);
  }
  tuner.contact_ohm += corner.contact_ohm;
  return tuner;
}

network::Ladder corner_ladder(network::Ladder ladder, const Corner& corner) {
  for (network::Element& element : ladder.elements) {
    if (auto* coil = std::get_if<network::Inductor>(&element.part)) coil->loss = corner_loss(coil->loss, corner);
  }
  return ladder;
}

}  // namespace stile::plan::detail
