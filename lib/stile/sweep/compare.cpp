#include <stile/sweep/compare.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/coil/analysis.hpp>

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
  std::vector<std::pair<double, cdouble>> ratio;
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
    const cdouble s1 = (p.first_ohm - r0) / (p.first_ohm + r0), s2 = (p.second_ohm - r0) / (p.second_ohm + r0);
    if (std::abs(s1) > 0.3 && std::abs(s2) > 0.3) ratio.emplace_back(f, s2 / s1);
    result.points.push_back(p);
  }
  require(!result.points.empty(), "the two sweeps have no frequency in common");
  result.rms_moved_ohm = std::sqrt(squares / static_cast<double>(result.points.size()));
  for (const Resonance& mine : resonances(first)) {
    const Resonance* nearest = nullptr;
    for (const Resonance& r : theirs)
      if (r.parallel == mine.parallel && (!nearest || std::abs(r.frequency_hz - mine.frequency_hz) <
                                                          std::abs(nearest->frequency_hz - mine.frequency_hz)))
        nearest = &r;
    if (nearest && std::abs(nearest->frequency_hz - mine.frequency_hz) <= 0.1 * mine.frequency_hz)
      result.resonances.push_back({mine, *nearest, nearest->frequency_hz - mine.frequency_hz});
  }
  if (ratio.size() >= 5 && ratio.size() == result.points.size()) {
    // Angle of the ratio, unwrapped from one frequency to the next, against f through the origin.
    double turned = std::arg(ratio.front().second), ff = 0.0, fa = 0.0;
    std::vector<double> angle{turned};
    for (std::size_t i = 1; i < ratio.size(); ++i) {
      turned += std::remainder(std::arg(ratio[i].second) - std::arg(ratio[i - 1].second), two_pi);
      angle.push_back(turned);
    }
    for (std::size_t i = 0; i < ratio.size(); ++i) {
      ff += ratio[i].first * ratio[i].first;
      fa += ratio[i].first * angle[i];
    }
    const double per_hz = fa / ff;
    double off = 0.0;
    for (const auto& [f, q] : ratio)
      off += std::norm(q - std::polar(1.0, per_hz * f)) / static_cast<double>(ratio.size());
    if (std::sqrt(off) < 0.02 && std::abs(per_hz) * ratio.back().first > 3.0 * pi / 180.0) {
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

std::vector<Resonance> resonances(const OnePort& sweep) {
  std::vector<Resonance> found;
  for (std::size_t i = 0; i + 1 < sweep.z_ohm.size(); ++i) {
    cdouble a = sweep.z_ohm[i], b = sweep.z_ohm[i + 1];
    const bool parallel = a.imag() > 0.0 && b.imag() <= 0.0 && b != 0.0;
    if (parallel) a = 1.0 / a, b = 1.0 / b;
    if (!(a.imag() < 0.0 && b.imag() >= 0.0)) continue;
    const double step = sweep.frequency_hz[i + 1] - sweep.frequency_hz[i], share = -a.imag() / (b.imag() - a.imag());
    Resonance r;
    r.parallel = parallel;
    r.frequency_hz = sweep.frequency_hz[i] + share * step;
    r.resistance_ohm = a.real() + share * (b.real() - a.real());
    r.slope_ohm_per_hz = (b.imag() - a.imag()) / step;
    if (parallel) {  // so far G and dB/df
      const double g = r.resistance_ohm;
      if (g == 0.0) continue;
      r.resistance_ohm = 1.0 / g;
      r.slope_ohm_per_hz /= -g * g;
    }
    r.q = r.resistance_ohm > 0.0 ? 0.5 * r.frequency_hz / r.resistance_ohm * std::abs(r.slope_ohm_per_hz) : 0.0;
    found.push_back(r);
  }
  return found;
}

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
  Comparison result = compared(first, second.name, resonances(second), coil, at);
  result.caveats = second.caveats;
  return result;
}

Comparison compare(const OnePort& measured, const load::Load& computed, const std::optional<CoilTap>& coil) {
  OnePort as_sweep;
  for (const double f : measured.frequency_hz) {
    if (!load::load_covers(computed, f)) continue;
    as_sweep.frequency_hz.push_back(f);
    as_sweep.z_ohm.push_back(load::load_impedance(computed, f));
  }
  const auto at = [&](double f) -> std::optional<Sample> {
    if (!load::load_covers(computed, f)) return {};
    return Sample{load::load_impedance(computed, f), 0.0};
  };
  return compared(measured, computed.name, resonances(as_sweep), coil, at);
}

}  // namespace stile::sweep
