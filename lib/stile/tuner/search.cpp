#include <stile/tuner/tuner.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include <fmt/core.h>

#include <stile/base/clones.hpp>
#include <stile/base/errors.hpp>

// The search runs over rows of inductor settings with plain loops that the compiler vectorises. Like the ladder's
// sweep it is compiled for several instruction sets without fused operations, so all choose the same state.

namespace stile {
namespace {

constexpr double not_a_number = std::numeric_limits<double>::quiet_NaN();
constexpr std::size_t width = 64;     // inductor settings taken together

/// Three arms in a row, seen from the load: far (capacitors at the load), middle (inductors), near (capacitors at the
/// transmitter). In an L and a pi, `a` is the voltage and `b` the current, an end arm adds its admittance times a to b
/// and the middle arm its impedance times b to a. In a T they change places, impedances with admittances too. So one
/// walk serves all forms. The load carries 1 A.
struct Arms {
  std::vector<double> middle_re, middle_im;    // in rows for the vectoriser
  std::vector<cdouble> far, near;
  cdouble load_a, load_b;
  double load_r = 0.0;
  cdouble source;                              // impedance in an L and a pi, admittance in a T
};

/// Where the walk stands when it reaches the middle arm.
struct Entry {
  cdouble a, b;
  double power = 0.0;                          // of the load and of the arms passed, W
};

Entry enter(const Arms& arms, cdouble far) {
  return {arms.load_a, arms.load_b + far * arms.load_a, arms.load_r + far.real() * std::norm(arms.load_a)};
}

/// A state's end at the transmitter: e = a + source b and f = a - source* b are the waves that come from and go back
/// to the transmitter, up to a common factor; `power` is a sum of terms >= 0, so it loses no digits to cancellation.
struct Ends {
  double e2 = 0.0, f2 = 0.0, power = 0.0;
};

inline Ends walk(const Entry& in, double mr, double mi, double nr, double ni, double sr, double si) {
  const double br = in.b.real(), bi = in.b.imag();
  const double ar = in.a.real() + mr * br - mi * bi, ai = in.a.imag() + mr * bi + mi * br;
  const double cr = br + nr * ar - ni * ai, ci = bi + nr * ai + ni * ar;
  const double er = ar + sr * cr - si * ci, ei = ai + sr * ci + si * cr;
  const double fr = ar - sr * cr - si * ci, fi = ai - sr * ci + si * cr;
  return {er * er + ei * ei, fr * fr + fi * fi, in.power + mr * (br * br + bi * bi) + nr * (ar * ar + ai * ai)};
}

/// |reflection|^2, power and |e|^2 of `count` <= width neighbouring inductor settings.
STILE_CLONES
void walk_row(const Entry& entry, cdouble near, cdouble source, const double* middle_re, const double* middle_im,
              std::size_t count, double* reflection2, double* power, double* e2) {
  const Entry in = entry;                      // a copy that nothing else can point at
  const double nr = near.real(), ni = near.imag(), sr = source.real(), si = source.imag();
  for (std::size_t k = 0; k < count; ++k) {
    const Ends ends = walk(in, middle_re[k], middle_im[k], nr, ni, sr, si);
    reflection2[k] = ends.f2 / ends.e2;
    power[k] = ends.power;
    e2[k] = ends.e2;
  }
}

/// Impedances from admittances and the other way round; nan where nothing could pass (an open series arm, a short
/// across), which loses every comparison.
std::vector<cdouble> inverted(std::vector<cdouble> values) {
  for (cdouble& value : values) value = value == 0.0 ? cdouble{not_a_number, not_a_number} : 1.0 / value;
  return values;
}

Arms arms_of(const Tuner& tuner, const TunerTable& table, CapacitorSide side, cdouble z_source, cdouble z_load) {
  Arms arms;
  std::vector<cdouble> middle = table.inductor_z_ohm;
  arms.near = table.capacitor_y_siemens;
  arms.far = table.load_capacitor_y_siemens;
  arms.load_a = z_load;
  arms.load_b = 1.0;
  arms.source = z_source;
  if (tuner.form == TunerForm::t) {
    middle = inverted(std::move(middle));
    arms.near = inverted(std::move(arms.near));
    arms.far = inverted(std::move(arms.far));
    std::swap(arms.load_a, arms.load_b);
    arms.source = 1.0 / z_source;
  } else if (tuner.form == TunerForm::l) {     // a pi with one end open
    if (side == CapacitorSide::load) std::swap(arms.near, arms.far);
  }
  arms.load_r = z_load.real();
  for (const cdouble z : middle) {
    arms.middle_re.push_back(z.real());
    arms.middle_im.push_back(z.imag());
  }
  return arms;
}

/// Least key, ties by the lesser second key, then by the order of the calls.
struct Best {
  double key = infinite, second = infinite;
  std::uint64_t index = 0;
  bool found = false;

  void consider(double new_key, double new_second, std::uint64_t new_index) {
    if (new_key < key || (new_key == key && new_second < second)) *this = {new_key, new_second, new_index, true};
  }
};

TunerSetting setting(const Tuner& tuner, const TunerTable& table, const Best& best, cdouble z_source, cdouble z_load) {
  TunerSetting result;
  result.status = best.found ? TunerStatus::found : TunerStatus::out_of_reach;
  if (!best.found) return result;
  result.state = tuner_state(tuner, best.index);
  const Arms arms = arms_of(tuner, table, result.state.side, z_source, z_load);
  std::size_t near = result.state.capacitor_mask, far = result.state.load_capacitor_mask;
  if (result.state.side == CapacitorSide::load) std::swap(near, far);
  const Ends ends = walk(enter(arms, arms.far[far]), arms.middle_re[result.state.inductor_mask],
                         arms.middle_im[result.state.inductor_mask], arms.near[near].real(), arms.near[near].imag(),
                         arms.source.real(), arms.source.imag());
  const double waves = std::sqrt(ends.e2) + std::sqrt(ends.f2);
  result.swr = waves * waves / (4.0 * arms.source.real() * ends.power);     // e2 - f2 = 4 Re(source) power
  result.dissipation_db = arms.load_r > 0.0 ? 10.0 * std::log10(ends.power / arms.load_r) : infinite;
  return result;
}

void check_length(const std::vector<cdouble>& table, std::size_t parts, const char* field) {
  if (table.size() == std::size_t{1} << parts) return;
  throw DomainError(fmt::format("table.{} has {} entries and must have {}: it belongs to another tuner", field,
                                table.size(), std::size_t{1} << parts));
}

void check_arguments(const Tuner& tuner, const TunerTable& table, cdouble z_source, cdouble z_load, double swr_limit) {
  state_count(tuner);
  check_length(table.inductor_z_ohm, tuner.inductors.values_h.size(), "inductor_z_ohm");
  check_length(table.capacitor_y_siemens, tuner.capacitors.values_f.size(), "capacitor_y_siemens");
  check_length(table.load_capacitor_y_siemens, tuner.load_capacitors.values_f.size(), "load_capacitor_y_siemens");
  const auto check = [](bool legal, const char* field, cdouble z, const char* range) {
    if (legal) return;
    throw DomainError(fmt::format("{} is {}{:+}j and must be finite with real part {}", field, z.real(), z.imag(),
                                  range));
  };
  check(finite(z_source) && z_source.real() > 0.0, "z_source_ohm", z_source, "> 0");
  check(finite(z_load) && z_load.real() >= 0.0, "z_load_ohm", z_load, ">= 0");
  if (!(swr_limit >= 1.0)) throw DomainError(fmt::format("swr_limit is {} and must be >= 1", swr_limit));
}

}  // namespace

TunerChoice choose_state(const Tuner& tuner, const TunerTable& table, cdouble z_source_ohm, cdouble z_load_ohm,
                         double swr_limit) {
  check_arguments(tuner, table, z_source_ohm, z_load_ohm, swr_limit);
  const double limit = std::isinf(swr_limit) ? 1.0 : (swr_limit - 1.0) / (swr_limit + 1.0);
  const double limit2 = std::isinf(swr_limit) ? infinite : limit * limit;
  // Loss as accepted over delivered power. Into a load that takes none every loss is infinite, which is a tie: 0.
  const double per_load = z_load_ohm.real() > 0.0 ? 1.0 : 0.0;

  // |e|^2 is the transmitter's available power while the load carries 1 A, so the least of it delivers most.
  Best swr, loss, delivered, delivered_within;
  std::uint64_t index = 0;
  double reflection2[width], power[width], e2[width];
  const auto search = [&](CapacitorSide side) {
    const Arms arms = arms_of(tuner, table, side, z_source_ohm, z_load_ohm);
    const std::size_t inductors = arms.middle_re.size();
    for (const cdouble far : arms.far) {
      const Entry entry = enter(arms, far);
      for (const cdouble near : arms.near) {
        for (std::size_t first = 0; first < inductors; first += width) {
          const std::size_t count = std::min(width, inductors - first);
          walk_row(entry, near, arms.source, &arms.middle_re[first], &arms.middle_im[first], count, reflection2, power,
                   e2);
          for (std::size_t k = 0; k < count; ++k, ++index) {
            if (reflection2[k] <= swr.key) swr.consider(reflection2[k], power[k] * per_load, index);
            if (e2[k] <= delivered.key) delivered.consider(e2[k], reflection2[k], index);
            if (reflection2[k] <= limit2) {
              loss.consider(power[k] * per_load, reflection2[k], index);
              delivered_within.consider(e2[k], reflection2[k], index);
            }
          }
        }
      }
    }
  };
  if (tuner.form != TunerForm::l || tuner.capacitor_at_transmitter) search(CapacitorSide::transmitter);
  if (tuner.form == TunerForm::l && tuner.capacitor_at_load) search(CapacitorSide::load);
  const auto result = [&](const Best& best) { return setting(tuner, table, best, z_source_ohm, z_load_ohm); };
  return {result(swr), result(loss), result(delivered_within.found ? delivered_within : delivered)};
}

}  // namespace stile
