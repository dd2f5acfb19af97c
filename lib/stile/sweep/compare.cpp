#include <stile/sweep/compare.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/coil/analysis.hpp>
#include <stile/sweep/detail/points.hpp>

namespace stile::sweep {
namespace {

struct Sample {
  cdouble z;
  double uncertainty = 0.0;
};

template <class SecondAt>
Comparison compared(const OnePort& first, const std::string& second_name, const std::vector<Resonance>& theirs,
                    const std::optional<CoilTap>& coil, const SecondAt& second_at) {
  if (coil) {
    require(coil->turns > 0.0 && coil->inductance_h > 0.0, "a coil needs turns and inductance > 0");
    require(coil->exponent == 0.0 || (coil->exponent >= 1.0 && coil->exponent <= 2.0),
            "the exponent of turns must be 1..2, or 0 for both ends");
  }
  Comparison result;
  result.first = first.name;
  result.second = second_name;
  double squares = 0.0;
  std::vector<cdouble> ratio;
  const double r0 = first.reference_ohm;
  for (std::size_t i = 0; i < first.frequency_hz.size(); ++i) {
    const double f = first.frequency_hz[i];
    const std::optional<Sample> other = second_at(f);
    if (!other) continue;
    ComparedPoint p;
    p.frequency_hz = f;
    p.first_ohm = first.z_ohm[i];
    p.second_ohm = other->z;
    p.moved_ohm = p.second_ohm - p.first_ohm;
    p.uncertainty_ohm = std::hypot(first.uncertainty_ohm[i], other->uncertainty);
    if (coil) {
      // X falls by w dL to be made up: dL = -dX / w, dN = dL N / (k L).
      const double per = -p.moved_ohm.imag() / (two_pi * f) * coil->turns / coil->inductance_h;
      const double a = per / (coil->exponent == 0.0 ? 2.0 : coil->exponent);
      const double b = per / (coil->exponent == 0.0 ? 1.0 : coil->exponent);
      p.turns_low = std::min(a, b);
      p.turns_high = std::max(a, b);
    }
    const double moved = std::abs(p.moved_ohm);
    squares += moved * moved;
    if (moved > result.largest_moved_ohm) result.largest_moved_ohm = moved, result.largest_at_hz = f;
    const cdouble s1 = detail::to_reflection(p.first_ohm, r0), s2 = detail::to_reflection(p.second_ohm, r0);
    if (std::abs(s1) > 0.3 && std::abs(s2) > 0.3) ratio.push_back(s2 / s1);
    result.points.push_back(p);
  }
  require(!result.points.empty(), "the two sweeps have no frequency in common");
  result.rms_moved_ohm = std::sqrt(squares / static_cast<double>(result.points.size()));
  for (const Resonance& mine : resonances(first.frequency_hz, first.z_ohm)) {
    const Resonance* nearest = nullptr;
    for (const Resonance& r : theirs)
      if (r.parallel == mine.parallel && (!nearest || std::abs(r.frequency_hz - mine.frequency_hz) <
                                                          std::abs(nearest->frequency_hz - mine.frequency_hz)))
        nearest = &r;
    if (nearest && std::abs(nearest->frequency_hz - mine.frequency_hz) <= 0.1 * mine.frequency_hz)
      result.resonances.push_back({mine, *nearest, nearest->frequency_hz - mine.frequency_hz});
  }
  if (ratio.size() >= 5 && ratio.size() == result.points.size()) {
    // Angle of the ratio against f through the origin.
    const std::vector<double> angle = detail::unwrapped_angle(ratio);
    double ff = 0.0, fa = 0.0, off = 0.0;
    for (std::size_t i = 0; i < ratio.size(); ++i) {
      const double f = result.points[i].frequency_hz;
      ff += f * f;
      fa += f * angle[i];
    }
    const double per_hz = fa / ff;
    for (std::size_t i = 0; i < ratio.size(); ++i)
      off += std::norm(ratio[i] - std::polar(1.0, per_hz * result.points[i].frequency_hz)) /
             static_cast<double>(ratio.size());
    if (std::sqrt(off) < 0.02 && std::abs(per_hz) * result.points.back().frequency_hz > 3.0 * pi / 180.0) {
      result.plane_delay_s = -per_hz / (4.0 * pi);
      result.findings.push_back(
          {FindingKind::plane, 0, 0.0, ratio.size(),
           fmt::format("the two differ by a length of line alone, {:.3g} ps one way: the calibration plane moved",
                       1e12 * *result.plane_delay_s)});
    }
  }
  return result;
}

}  // namespace

CoilTap tap_of(const coil::Winding& winding, double turns, double frequency_hz) {
  require(winding.sections.size() == 1, "a tap needs a winding of one section");
  const double all = winding.sections.front().turns;
  require(turns >= 1.0 && turns <= all - 0.5, "the tap must be at least at 1 turn and half a turn before the end");
  const auto inductance_at = [&](double n) {
    return coil::analyse(winding, coil::tapped(winding, n, coil::Unused::open), frequency_hz).inductance_h;
  };
  CoilTap tap{turns, inductance_at(turns), 0.0};
  const double slope = inductance_at(turns + 0.5) - inductance_at(turns - 0.5);
  tap.exponent = std::clamp(slope * turns / tap.inductance_h, 1.0, 2.0);
  return tap;
}

Comparison compare(const OnePort& first, const OnePort& second, const std::optional<CoilTap>& coil) {
  const auto at = [&](double f) -> std::optional<Sample> {
    const auto& all = second.frequency_hz;
    const double slack = 1e-9 * f;
    if (all.empty() || f < all.front() - slack || f > all.back() + slack) return {};
    const auto above = std::lower_bound(all.begin(), all.end(), f - slack);
    const auto k = static_cast<std::size_t>(above - all.begin());
    if (std::abs(all[k] - f) <= slack || k == 0) return Sample{second.z_ohm[k], second.uncertainty_ohm[k]};
    const double share = (f - all[k - 1]) / (all[k] - all[k - 1]);
    return Sample{second.z_ohm[k - 1] + share * (second.z_ohm[k] - second.z_ohm[k - 1]),
                  std::max(second.uncertainty_ohm[k - 1], second.uncertainty_ohm[k])};
  };
  Comparison result = compared(first, second.name, resonances(second.frequency_hz, second.z_ohm), coil, at);
  result.caveats = second.caveats;
  return result;
}

Comparison compare(const OnePort& measured, const load::Load& computed, const std::optional<CoilTap>& coil) {
  std::vector<double> frequency_hz;
  std::vector<cdouble> z_ohm;
  for (const double f : measured.frequency_hz) {
    if (!load::load_covers(computed, f)) continue;
    frequency_hz.push_back(f);
    z_ohm.push_back(load::load_impedance(computed, f));
  }
  const auto at = [&](double f) -> std::optional<Sample> {
    if (!load::load_covers(computed, f)) return {};
    return Sample{load::load_impedance(computed, f), 0.0};
  };
  return compared(measured, computed.name, resonances(frequency_hz, z_ohm), coil, at);
}

}  // namespace stile::sweep
