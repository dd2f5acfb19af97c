#include <stile/tuner/tuner.hpp>

#include <algorithm>

#include <stile/tuner/detail/arms.hpp>

#include <stile/base/detail/clones.hpp>

// The search runs over rows of the middle arm's settings with plain loops that the compiler vectorises. Like the
// ladder's sweep it is compiled for several instruction sets without fused operations, so all choose the same state.

namespace stile::tuner {
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
  double key = network::infinite, second = network::infinite;
  std::uint64_t index = 0;
  bool found = false;

  void consider(double new_key, double new_second, std::uint64_t new_index) {
    if (new_key < key || (new_key == key && new_second < second)) *this = {new_key, new_second, new_index, true};
  }
};

/// Arms of every side that the tuner has, in the order of the states' indices.
std::vector<Arms> sides_of(const Tuner& tuner, const TunerTable& table, cdouble z_source) {
  std::vector<Arms> sides;
  if (tuner.form != TunerForm::l || tuner.capacitor_at_transmitter)
    sides.push_back(detail::arms_of(tuner, table, CapacitorSide::transmitter, z_source));
  if (tuner.form == TunerForm::l && tuner.capacitor_at_load)
    sides.push_back(detail::arms_of(tuner, table, CapacitorSide::load, z_source));
  return sides;
}

/// @param sides  as sides_of
TunerSetting setting(const Tuner& tuner, const std::vector<Arms>& sides, const Best& best, cdouble z_load) {
  TunerSetting result;
  result.status = best.found ? TunerStatus::found : TunerStatus::out_of_reach;
  if (!best.found) return result;
  result.state = detail::decode_state(tuner, best.index);
  const Arms& arms = result.state.side == CapacitorSide::load ? sides.back() : sides.front();
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
  const std::vector<Arms> sides = sides_of(tuner, table, z_source_ohm);
  for (const Arms& arms : sides) {
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
  }
  const auto result = [&](const Best& best) { return setting(tuner, sides, best, z_load_ohm); };
  return {result(swr), result(loss), result(delivered_within.found ? delivered_within : delivered)};
}

namespace {

/// A rectangle of the complex plane that holds settings of the middle arm.
struct Box {
  double re_low = network::infinite, re_high = -network::infinite, im_low = network::infinite,
         im_high = -network::infinite;

  void hold(double re, double im) {
    re_low = std::min(re_low, re), re_high = std::max(re_high, re);
    im_low = std::min(im_low, im), im_high = std::max(im_high, im);
  }
  /// Squared distance of a point from it.
  double distance2(cdouble z) const {
    const double re = z.real() - std::clamp(z.real(), re_low, re_high);
    const double im = z.imag() - std::clamp(z.imag(), im_low, im_high);
    return re * re + im * im;
  }
};

/// Of one setting of the end arms: e = a + b m and f = c + d m as functions of the middle arm's m.
struct Row {
  cdouble a, b, c, d;

  Row(const Entry& in, cdouble near, cdouble source) {
    const cdouble at_a(in.at.a.re, in.at.a.im), at_b(in.at.b.re, in.at.b.im);
    a = at_a * (1.0 + source * near) + source * at_b;
    b = at_b * (1.0 + source * near);
    c = at_a * (1.0 - std::conj(source) * near) - std::conj(source) * at_b;
    d = at_b * (1.0 - std::conj(source) * near);
  }

  /// No |e|^2 in the box is less; nan where there is no telling.
  double least_e2(const Box& box) const {
    const cdouble zero = -a / b;
    return std::norm(b) * std::max(0.0, box.distance2(zero) - rounding * std::norm(zero));
  }

  /// False when every |f|^2 / |e|^2 in the box is above the limit: |f|^2 <= limit |e|^2 is a disc of m.
  bool may_hold(const Box& box, double limit2) const {
    if (std::isinf(limit2)) return true;
    const double q = std::norm(d) - limit2 * std::norm(b);
    if (!(q > 0.0)) return true;  // the outside of a disc, or no numbers
    const cdouble centre = -(std::conj(d) * c - limit2 * std::conj(b) * a) / q;
    const double radius2 = std::norm(centre) - (std::norm(c) - limit2 * std::norm(a)) / q;
    return !(box.distance2(centre) - radius2 > rounding * (std::norm(centre) + std::abs(radius2)));
  }

  static constexpr double rounding = 1e-10;  // far above what the steps above lose
};

/// One setting of the end arms of a side, with the index of its first state.
struct EndSetting {
  const Arms* arms;
  cdouble near;
  Entry entry;
  Row row;
  std::uint64_t first_state;
};

/// Squared distance of a point from a box, without branches.
inline double gap2(const Box& box, Plain at) {
  const double left = box.re_low - at.re, right = at.re - box.re_high, below = box.im_low - at.im,
               above = at.im - box.im_high;
  const double aside = left > right ? left : right, off = below > above ? below : above;
  const double re = aside > 0.0 ? aside : 0.0, im = off > 0.0 ? off : 0.0;
  return re * re + im * im;
}

/// Of one setting of the end arms: no |e|^2 of a state in the box within the limit is less; infinite when there is
/// none, nan where there is no telling. As Row::least_e2 and Row::may_hold, and what lies within the disc of the limit
/// is at least as far from where |e| is 0 as its nearest edge.
inline double least_of(const detail::WalkPoint<Plain>& load, Plain far, Plain near, Plain source, const Box& box,
                       double limit2) {
  const Plain one{1.0, 0.0}, back{-source.re, source.im};
  const detail::WalkPoint<Plain> in = detail::pass_end(load, far);
  const Plain through = detail::plus_times(one, source, near), b = detail::times(in.b, through);
  const Plain a = detail::plus_times(detail::times(in.a, through), source, in.b);
  const double b2 = detail::norm(b), by_b2 = 1.0 / b2;
  const Plain ab{a.re * b.re + a.im * b.im, a.im * b.re - a.re * b.im};  // a conj(b)
  const Plain zero{-ab.re * by_b2, -ab.im * by_b2};
  const double zero2 = detail::norm(zero), box_gap2 = gap2(box, zero) - Row::rounding * zero2;
  const Plain against = detail::plus_times(one, back, near), d = detail::times(in.b, against);
  const Plain c = detail::plus_times(detail::times(in.a, against), back, in.b);
  const double q = detail::norm(d) - limit2 * b2, by_q = 1.0 / q;
  const Plain centre{(limit2 * ab.re - (c.re * d.re + c.im * d.im)) * by_q,
                     (limit2 * ab.im - (c.im * d.re - c.re * d.im)) * by_q};
  const double centre2 = detail::norm(centre);
  const double radius2 = centre2 - (detail::norm(c) - limit2 * detail::norm(a)) * by_q;
  const double slack = Row::rounding * (centre2 + (radius2 > 0.0 ? radius2 : -radius2));
  const bool none = gap2(box, centre) - radius2 > slack;
  const double reach2 = radius2 + slack > 0.0 ? radius2 + slack : 0.0;
  const double apart2 = detail::norm({centre.re - zero.re, centre.im - zero.im});
  const double edge2 = apart2 + reach2 - 2.0 * std::sqrt(apart2 * reach2);  // the square of their difference
  const double disc_gap2 = (apart2 > reach2 ? 1.0 : 0.0) * edge2 - (Row::rounding * zero2 + slack);
  const double both_gap2 = q > 0.0 && disc_gap2 > box_gap2 ? disc_gap2 : box_gap2;
  const double bound = b2 * (both_gap2 > 0.0 ? both_gap2 : 0.0);
  return q > 0.0 && none ? network::infinite : bound;
}

/// The same for every setting of one end arm beside one of the other.
STILE_CLONES
void bound_row(const double* re, const double* im, std::size_t count, bool far_varies, Plain other,
               const detail::LoadEnd& load_in, Plain source_in, const Box& box_in, double limit2, double* least) {
  const detail::WalkPoint<Plain> load = load_in.at;  // copies that nothing else can point at
  const Plain source = source_in, fixed = other;
  const Box box = box_in;
  if (far_varies) {
    for (std::size_t k = 0; k < count; ++k) least[k] = least_of(load, {re[k], im[k]}, fixed, source, box, limit2);
  } else {
    for (std::size_t k = 0; k < count; ++k) least[k] = least_of(load, fixed, {re[k], im[k]}, source, box, limit2);
  }
}

/// The same for every setting of both end arms of a side, far ones in the outer order.
std::vector<double> end_bounds(const Arms& arms, const detail::LoadEnd& load, const Box& box, double limit2) {
  const bool far_varies = arms.near.size() < arms.far.size();
  const std::vector<cdouble>&varied = far_varies ? arms.far : arms.near, &other = far_varies ? arms.near : arms.far;
  std::vector<double> re, im, least(varied.size() * other.size()), row(varied.size());
  for (const cdouble value : varied) {
    re.push_back(value.real());
    im.push_back(value.imag());
  }
  for (std::size_t o = 0; o < other.size(); ++o) {
    bound_row(re.data(), im.data(), varied.size(), far_varies, detail::plain(other[o]), load,
              detail::plain(arms.source), box, limit2, row.data());
    for (std::size_t k = 0; k < varied.size(); ++k)
      least[far_varies ? k * other.size() + o : o * varied.size() + k] = row[k];
  }
  return least;
}

}  // namespace

TunerSetting most_delivered_state(const Tuner& tuner, const TunerTable& table, cdouble z_source_ohm, cdouble z_load_ohm,
                                  double swr_limit) {
  detail::check_search(tuner, table, z_source_ohm);
  detail::check_load(z_load_ohm);
  detail::check_swr_limit(swr_limit);
  const std::vector<Arms> sides = sides_of(tuner, table, z_source_ohm);

  // The middle arm is the same on both sides: a box for every block, and one for all.
  const std::vector<double>&re = sides.front().middle_re, &im = sides.front().middle_im;
  const std::size_t settings = re.size();
  std::vector<Box> blocks((settings + width - 1) / width);
  Box all;
  for (std::size_t m = 0; m < settings; ++m) {
    blocks[m / width].hold(re[m], im[m]);
    all.hold(re[m], im[m]);
  }
  const std::size_t ends = sides.front().far.size() * sides.front().near.size();
  const auto end_setting = [&](std::size_t place) -> EndSetting {
    const Arms& arms = sides[place / ends];
    const cdouble far = arms.far[place % ends / arms.near.size()], near = arms.near[place % arms.near.size()];
    const Entry entry = detail::enter(detail::load_end(z_load_ohm, arms.dual), detail::plain(far));
    return {&arms, near, entry, Row(entry, near, arms.source), place * settings};
  };

  // Least |e|^2 of the states within a limit; ties as in choose_state.
  double reflection2[width], power[width], e2[width];
  const auto search = [&](double limit2) {
    std::vector<double> least;  // |e|^2 of every setting of the end arms, side after side
    for (const Arms& arms : sides) {
      const std::vector<double> bounds = end_bounds(arms, detail::load_end(z_load_ohm, arms.dual), all, limit2);
      least.insert(least.end(), bounds.begin(), bounds.end());
    }
    Best best;
    const auto scan = [&](const EndSetting& place) {
      for (std::size_t block = 0; block < blocks.size(); ++block) {
        if (place.row.least_e2(blocks[block]) > best.key || !place.row.may_hold(blocks[block], limit2)) continue;
        const std::size_t first = block * width, count = std::min(width, settings - first);
        walk_row(place.entry, detail::plain(place.near), detail::plain(place.arms->source), &re[first], &im[first],
                 count, reflection2, power, e2);
        for (std::size_t k = 0; k < count; ++k) {
          const std::uint64_t index = place.first_state + first + k;
          if (!(reflection2[k] <= limit2) || !(e2[k] <= best.key)) continue;
          const bool first_of_equals = e2[k] == best.key && reflection2[k] == best.second && index < best.index;
          if (first_of_equals) best.index = index;
          best.consider(e2[k], reflection2[k], index);
        }
      }
    };
    // The most promising one first: after it nearly all others are out.
    const auto start = static_cast<std::size_t>(std::min_element(least.begin(), least.end()) - least.begin());
    scan(end_setting(start));
    for (std::size_t place = 0; place < least.size(); ++place) {
      if (place == start || least[place] > best.key || least[place] == network::infinite) continue;
      scan(end_setting(place));
    }
    return best;
  };
  Best best = search(detail::reflection2_limit(swr_limit));
  if (!best.found) best = search(network::infinite);
  return setting(tuner, sides, best, z_load_ohm);
}

}  // namespace stile::tuner
