#include <stile/tuner/tuner.hpp>

#include <algorithm>

#include <stile/tuner/detail/arms.hpp>

#include <stile/base/detail/clones.hpp>

// The search runs over rows of the middle arm's settings with plain loops that the compiler vectorises. Like the ladder's
// sweep it is compiled for several instruction sets without fused operations, so all choose the same state.

namespace stile {
namespace {

using detail::Arms;
using detail::Ends;
using detail::Entry;
using detail::Plain;

constexpr std::size_t width = 64;  // settings of the middle arm taken together

/// |reflection|^2, power and |e|^2 of `count` <= width neighbouring settings of the middle arm.
STILE_CLONES
void walk_row(const Entry& entry, Plain near, Plain source, const double* middle_re, const double* middle_im,
              std::size_t count, double* reflection2, double* power, double* e2) {
  const Entry in = entry;  // a copy that nothing else can point at
  for (std::size_t k = 0; k < count; ++k) {
    const Ends ends = detail::leave(in, {middle_re[k], middle_im[k]}, near, source);
    reflection2[k] = ends.f2 / ends.e2;
    power[k] = ends.power;
    e2[k] = ends.e2;
  }
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
  const Arms arms = detail::arms_of(tuner, table, result.state.side, z_source);
  const Ends ends = detail::ends_at(arms, detail::arm_index(tuner, result.state), detail::load_end(z_load, arms.dual));
  result.swr = detail::swr_of(ends, arms.source.real());
  result.dissipation_db = detail::dissipation_db_of(ends, z_load.real());
  return result;
}

}  // namespace

TunerChoice choose_state(const Tuner& tuner, const TunerTable& table, cdouble z_source_ohm, cdouble z_load_ohm,
                         double swr_limit) {
  detail::check_search(tuner, table, z_source_ohm);
  detail::check_load(z_load_ohm);
  detail::check_swr_limit(swr_limit);
  const double limit2 = detail::reflection2_limit(swr_limit);
  // Loss as accepted over delivered power. Into a load that takes none every loss is infinite, which is a tie: 0.
  const double per_load = z_load_ohm.real() > 0.0 ? 1.0 : 0.0;

  // |e|^2 is the transmitter's available power while the load carries 1 A, so the least of it delivers most.
  Best swr, loss, delivered, delivered_within;
  std::uint64_t index = 0;
  double reflection2[width], power[width], e2[width];
  const auto search = [&](CapacitorSide side) {
    const Arms arms = detail::arms_of(tuner, table, side, z_source_ohm);
    const detail::LoadEnd load = detail::load_end(z_load_ohm, arms.dual);
    const std::size_t settings = arms.middle_re.size();
    const Plain source = detail::plain(arms.source);
    for (const cdouble far : arms.far) {
      const Entry entry = detail::enter(load, detail::plain(far));
      for (const cdouble near : arms.near) {
        for (std::size_t first = 0; first < settings; first += width) {
          const std::size_t count = std::min(width, settings - first);
          walk_row(entry, detail::plain(near), source, &arms.middle_re[first], &arms.middle_im[first], count,
                   reflection2, power, e2);
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
