#include <stile/load/load.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <utility>

// Boost 1.74's pchip.hpp calls isnan without std::, which this C header makes visible.
#include <math.h>

#include <boost/math/interpolators/pchip.hpp>

#include <stile/base/constants.hpp>
#include <stile/base/detail/overloaded.hpp>
#include <stile/base/errors.hpp>
#include <stile/network/one_port.hpp>

namespace stile::load {
namespace {

using Pchip = boost::math::interpolators::pchip<std::vector<double>>;

constexpr std::array<double PowerShares::*, 5> share_members{
    &PowerShares::radiated, &PowerShares::metal, &PowerShares::ground, &PowerShares::person, &PowerShares::lumps};

/// What is interpolated: these, and the part of one of them.
constexpr std::array<double PowerShares::*, 6> share_curves{&PowerShares::radiated, &PowerShares::metal,
                                                            &PowerShares::ground,   &PowerShares::person,
                                                            &PowerShares::lumps,    &PowerShares::coils};

double sum_of(const PowerShares& shares) {
  double sum = 0.0;
  for (const auto member : share_members) sum += shares.*member;
  return sum;
}

// One real quantity along a segment.
class Curve {
public:
  Curve(std::vector<double> x, std::vector<double> y) : x_(std::move(x)), y_(std::move(y)) {
    if (x_.size() < 4) return;
    auto x_copy = x_, y_copy = y_;
    smooth_.emplace(std::move(x_copy), std::move(y_copy));
  }

  // x within the segment. The interpolant stays between its neighbours; clamping removes rounding only.
  double operator()(double x) const {
    const auto after = std::lower_bound(x_.begin(), x_.end(), x);
    const auto i = static_cast<std::size_t>(after - x_.begin());
    if (x_[i] == x) return y_[i];
    const auto [low, high] = std::minmax(y_[i - 1], y_[i]);
    const double t = (x - x_[i - 1]) / (x_[i] - x_[i - 1]);
    return std::clamp(smooth_ ? (*smooth_)(x) : std::lerp(y_[i - 1], y_[i], t), low, high);
  }

private:
  std::vector<double> x_, y_;
  std::optional<Pchip> smooth_;
};

struct Segment {
  Range range_hz;
  Curve resistance, reactance;
  std::vector<Curve> shares;  // as share_curves; or empty
};

}  // namespace

struct LoadSegments {
  std::vector<Segment> list;
};

namespace {

constexpr double same_frequency = 1e-12;
constexpr double unreliable_reflection = 0.98;
constexpr double slope_step = 1e-5;

bool usable(double frequency_hz) { return std::isfinite(frequency_hz) && frequency_hz > 0.0; }

void require_frequency(double frequency_hz) {
  if (!usable(frequency_hz))
    throw DomainError("frequency must be finite and greater than 0 Hz, here " +
                      print_quantity(frequency_hz, Unit::hertz, 6));
}

std::string print_hz(double frequency_hz) { return print_quantity(frequency_hz, Unit::hertz, 6); }

std::string print_range(const Range& range_hz) {
  if (range_hz.low == range_hz.high) return print_hz(range_hz.low);
  return print_hz(range_hz.low) + " to " + print_hz(range_hz.high);
}

Segment make_segment(const SampledLoad& load, std::size_t begin, std::size_t end) {
  const std::vector<double> x(load.frequency_hz.begin() + static_cast<std::ptrdiff_t>(begin),
                              load.frequency_hz.begin() + static_cast<std::ptrdiff_t>(end));
  const auto curve = [&](auto value_at) {
    std::vector<double> y;
    for (std::size_t i = begin; i < end; ++i) y.push_back(value_at(i));
    return Curve(x, std::move(y));
  };
  Segment segment{{x.front(), x.back()},
                  curve([&](std::size_t i) { return load.z_ohm[i].real(); }),
                  curve([&](std::size_t i) { return load.z_ohm[i].imag(); }),
                  {}};
  if (!load.shares.empty()) {
    for (const auto member : share_curves)
      segment.shares.push_back(curve([&](std::size_t i) { return load.shares[i].*member; }));
  }
  return segment;
}

// The sample this frequency means, when it means one.
double snapped(const SampledLoad& load, double frequency_hz) {
  const auto& f = load.frequency_hz;
  const auto after = std::lower_bound(f.begin(), f.end(), frequency_hz);
  if (after != f.end() && *after - frequency_hz <= same_frequency * frequency_hz) return *after;
  if (after != f.begin() && frequency_hz - *(after - 1) <= same_frequency * frequency_hz) return *(after - 1);
  return frequency_hz;
}

const Segment* find_segment(const SampledLoad& load, double frequency_hz) {
  require(load.segments != nullptr, "a sampled load must be made by make_sampled_load");
  for (const Segment& segment : load.segments->list)
    if (frequency_hz >= segment.range_hz.low && frequency_hz <= segment.range_hz.high) return &segment;
  return nullptr;
}

const Segment& segment_at(const SampledLoad& load, double frequency_hz, const std::string& name) {
  if (load.frequency_hz.empty() && load.segments == nullptr)
    throw DomainError((name.empty() ? std::string("the load") : "load \"" + name + "\"") +
                      " has no samples: an antenna of wires must be solved first");
  if (const Segment* segment = find_segment(load, frequency_hz)) return *segment;
  const auto& list = load.segments->list;
  std::string message = (name.empty() ? std::string("load") : "load \"" + name + "\"") + ": no data at " +
                        print_hz(frequency_hz) + ", there is none ";
  if (frequency_hz < list.front().range_hz.low) {
    message += "below " + print_hz(list.front().range_hz.low);
  } else if (frequency_hz > list.back().range_hz.high) {
    message += "above " + print_hz(list.back().range_hz.high);
  } else {
    std::size_t i = 1;
    while (list[i].range_hz.low < frequency_hz) ++i;
    message += "between " + print_hz(list[i - 1].range_hz.high) + " and " + print_hz(list[i].range_hz.low);
  }
  message += "; data: ";
  constexpr std::size_t shown = 12;
  for (std::size_t i = 0; i < std::min(list.size(), shown); ++i)
    message += (i == 0 ? "" : ", ") + print_range(list[i].range_hz);
  if (list.size() > shown) message += " and " + std::to_string(list.size() - shown) + " more";
  throw DomainError(message);
}

void check(const ConstantLoad& load) {
  require(std::isfinite(load.z_ohm.real()) && std::isfinite(load.z_ohm.imag()) && load.z_ohm.real() >= 0.0,
          "a constant load must be finite with real part >= 0");
}

void check(const WhipModel& whip) {
  const auto resistance = [](double ohm) { return std::isfinite(ohm) && ohm >= 0.0; };
  require(resistance(whip.radiation_ohm) && resistance(whip.ground_ohm) && resistance(whip.metal_ohm),
          "resistances of a whip model must be finite and >= 0 ohm");
  require(usable(whip.radiation_at_hz), "radiation_at_hz must be finite and > 0");
  require(whip.metal_ohm == 0.0 || usable(whip.metal_at_hz), "metal_at_hz must be finite and > 0");
  require(std::isfinite(whip.capacitance_f) && whip.capacitance_f > 0.0, "capacitance_f must be finite and > 0");
  require(std::isfinite(whip.inductance_h) && whip.inductance_h >= 0.0, "inductance_h must be finite and >= 0");
}

struct WhipResistance {
  double radiation_ohm = 0.0, metal_ohm = 0.0, ground_ohm = 0.0;
  double sum() const { return radiation_ohm + metal_ohm + ground_ohm; }
};

WhipResistance resistance_of(const WhipModel& whip, double frequency_hz) {
  const double ratio = frequency_hz / whip.radiation_at_hz;
  return {whip.radiation_ohm * ratio * ratio,
          whip.metal_ohm == 0.0 ? 0.0 : whip.metal_ohm * std::sqrt(frequency_hz / whip.metal_at_hz), whip.ground_ohm};
}

cdouble impedance_of(const ConstantLoad& load, double, const std::string&) {
  check(load);
  return load.z_ohm;
}

cdouble impedance_of(const WhipModel& whip, double frequency_hz, const std::string&) {
  check(whip);
  const double w = two_pi * frequency_hz;
  const cdouble z{resistance_of(whip, frequency_hz).sum(), w * whip.inductance_h - 1.0 / (w * whip.capacitance_f)};
  require(std::isfinite(z.real()) && std::isfinite(z.imag()), "the whip model is not finite at this frequency");
  return z;
}

cdouble impedance_of(const SampledLoad& load, double frequency_hz, const std::string& name) {
  const double f = snapped(load, frequency_hz);
  const Segment& segment = segment_at(load, f, name);
  const cdouble z{segment.resistance(f), segment.reactance(f)};
  require(std::isfinite(z.real()) && std::isfinite(z.imag()), "the samples are too large to interpolate");
  return z;
}

}  // namespace

SampledLoad make_sampled_load(std::vector<double> frequency_hz, std::vector<cdouble> z_ohm,
                              std::vector<PowerShares> shares, double widest_gap_ratio,
                              std::vector<double> measured_reflection) {
  SampledLoad load{std::move(frequency_hz), std::move(z_ohm), std::move(shares), std::move(measured_reflection), {},
                   widest_gap_ratio,        nullptr};
  const std::size_t n = load.frequency_hz.size();
  require(n > 0, "a sampled load needs at least one sample");
  require(load.z_ohm.size() == n, "a sampled load needs one impedance a frequency");
  require(load.shares.empty() || load.shares.size() == n, "a sampled load needs power shares at all samples or none");
  require(load.measured_reflection.empty() || load.measured_reflection.size() == n,
          "a sampled load needs a measured reflection at all samples or none");
  require(widest_gap_ratio > 1.0, "the widest gap ratio must be greater than 1");
  for (std::size_t i = 0; i < n; ++i) {
    require_frequency(load.frequency_hz[i]);
    const std::string at = " at " + print_hz(load.frequency_hz[i]);
    if (i > 0 && !(load.frequency_hz[i] > load.frequency_hz[i - 1]))
      throw DomainError("frequencies of a sampled load must strictly increase, they do not" + at);
    const cdouble z = load.z_ohm[i];
    if (!std::isfinite(z.real()) || !std::isfinite(z.imag()) || z.real() < 0.0)
      throw DomainError("an impedance must be finite with real part >= 0, here " + print_impedance(z) + " ohm" + at);
  }
  for (const PowerShares& s : load.shares) {
    for (const auto member : share_members) require(s.*member >= 0.0, "power shares must not be negative");
    require(std::abs(sum_of(s) - 1.0) <= 1e-9, "power shares must sum to 1");
    require(s.coils >= 0.0 && s.coils <= s.metal * (1.0 + 1e-9), "what heats coils must be a part of what heats metal");
  }
  auto segments = std::make_shared<LoadSegments>();
  std::size_t begin = 0;
  for (std::size_t i = 1; i <= n; ++i) {
    if (i < n && load.frequency_hz[i] / load.frequency_hz[i - 1] <= widest_gap_ratio) continue;
    segments->list.push_back(make_segment(load, begin, i));
    begin = i;
  }
  load.segments = std::move(segments);
  return load;
}

cdouble load_impedance(const Load& load, double frequency_hz) {
  require_frequency(frequency_hz);
  return std::visit([&](const auto& model) { return impedance_of(model, frequency_hz, load.name); }, load.model);
}

std::optional<PowerShares> load_shares(const Load& load, double frequency_hz) {
  require_frequency(frequency_hz);
  return std::visit(
      Overloaded{[](const ConstantLoad& constant) -> std::optional<PowerShares> {
                   check(constant);
                   return {};
                 },
                 [&](const WhipModel& whip) -> std::optional<PowerShares> {
                   check(whip);
                   const WhipResistance r = resistance_of(whip, frequency_hz);
                   require(std::isfinite(r.sum()), "the whip model is not finite at this frequency");
                   if (r.sum() <= 0.0) return {};
                   return PowerShares{r.radiation_ohm / r.sum(), r.metal_ohm / r.sum(), r.ground_ohm / r.sum()};
                 },
                 [&](const SampledLoad& samples) -> std::optional<PowerShares> {
                   const double f = snapped(samples, frequency_hz);
                   const Segment& segment = segment_at(samples, f, load.name);
                   if (segment.shares.empty()) return {};
                   PowerShares s;
                   for (std::size_t n = 0; n < share_curves.size(); ++n) s.*share_curves[n] = segment.shares[n](f);
                   const double sum = sum_of(s);
                   for (const auto member : share_curves) s.*member /= sum;
                   return s;
                 }},
      load.model);
}

std::optional<double> load_path_gain(const Load& load, double frequency_hz) {
  require_frequency(frequency_hz);
  const auto* samples = std::get_if<SampledLoad>(&load.model);
  if (samples == nullptr || samples->path_gain.empty()) return {};
  const double f = snapped(*samples, frequency_hz);
  segment_at(*samples, f, load.name);  // there are data
  const std::vector<double>& at = samples->frequency_hz;
  const auto above = static_cast<std::size_t>(std::lower_bound(at.begin(), at.end(), f) - at.begin());
  const std::size_t below = at[above] == f ? above : above - 1;
  const double low = samples->path_gain[below], high = samples->path_gain[above];
  if (!(low > 0.0) || !(high > 0.0)) return {};
  return above == below ? low : low + (high - low) * (f - at[below]) / (at[above] - at[below]);
}

bool load_covers(const Load& load, double frequency_hz) {
  if (!usable(frequency_hz)) return false;
  const auto* samples = std::get_if<SampledLoad>(&load.model);
  return samples == nullptr || find_segment(*samples, snapped(*samples, frequency_hz)) != nullptr;
}

std::vector<Range> load_ranges(const Load& load) {
  const auto* samples = std::get_if<SampledLoad>(&load.model);
  if (samples == nullptr) return {{0.0, std::numeric_limits<double>::infinity()}};
  require(samples->segments != nullptr, "a sampled load must be made by make_sampled_load");
  std::vector<Range> ranges_hz;
  for (const Segment& segment : samples->segments->list) ranges_hz.push_back(segment.range_hz);
  return ranges_hz;
}

std::vector<std::string> load_warnings(const Load& load) {
  std::vector<std::string> warnings = load.reading_warnings;
  const auto* samples = std::get_if<SampledLoad>(&load.model);
  if (samples == nullptr) return warnings;
  const auto& reflection = samples->measured_reflection;
  for (std::size_t i = 0; i < reflection.size(); ++i) {
    if (reflection[i] <= unreliable_reflection) continue;
    const std::size_t first = i;
    while (i + 1 < reflection.size() && reflection[i + 1] > unreliable_reflection) ++i;
    warnings.push_back("resistance is unreliable at " +
                       print_range({samples->frequency_hz[first], samples->frequency_hz[i]}) +
                       ": |S11| is above 0.98 there, and a reflection measurement cannot tell so small a share of "
                       "absorbed power from its own error");
  }
  return warnings;
}

double load_q(const Load& load, double frequency_hz) {
  const cdouble z = load_impedance(load, frequency_hz);
  require(z.real() > 0.0, "Q needs a resistance greater than 0 ohm");
  if (std::holds_alternative<ConstantLoad>(load.model)) return std::abs(z.imag()) / z.real();
  double low = frequency_hz * (1.0 - slope_step), high = frequency_hz * (1.0 + slope_step);
  if (const auto* samples = std::get_if<SampledLoad>(&load.model)) {
    const Range& range_hz = segment_at(*samples, snapped(*samples, frequency_hz), load.name).range_hz;
    require(range_hz.low < range_hz.high, "Q needs a slope, and there is a single sample at this frequency");
    low = std::max(low, range_hz.low);
    high = std::min(high, range_hz.high);
  }
  return network::q_from_impedance(z, (load_impedance(load, high) - load_impedance(load, low)) / (high - low),
                                   frequency_hz);
}

double load_reactance_slope_ohm_per_hz(const Load& load, double frequency_hz) {
  const double step = 1e-4 * frequency_hz;
  if (!load_covers(load, frequency_hz - step) || !load_covers(load, frequency_hz + step)) return 0.0;
  return (load_impedance(load, frequency_hz + step).imag() - load_impedance(load, frequency_hz - step).imag()) /
         (2.0 * step);
}

}  // namespace stile::load
