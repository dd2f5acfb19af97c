#include <stile/match/detail/setting_boxes.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <queue>
#include <utility>

#include <stile/base/errors.hpp>

namespace stile::match::detail {
namespace {

constexpr double infinite = network::infinite;
constexpr double narrow = 1.0 + 1e-9;                     // ratio of ends at which a box is no longer halved
constexpr double widened = 1.0 + 1e-12;                   // of radii, for rounding
constexpr double widened_cut = 1.0 + 1e-9;                // of what is cut off
constexpr double rounding = 1e-13;                        // of sums, of the size of their terms
constexpr double inner_side = 1.0 - 1e-9;                 // an SWR limit holds whichever way the setting is computed
constexpr double largest_step = 0.02, least_step = 1e-9;  // of a value, where what is found is improved
constexpr double widest_radius = 1e100;                   // about a resonance without loss: products stay finite

/// A complex number whose product is four multiplications (std::complex looks for infinities).
struct C {
  double re = 0.0, im = 0.0;
};
C operator+(C a, C b) { return {a.re + b.re, a.im + b.im}; }
C operator*(C a, C b) { return {a.re * b.re - a.im * b.im, a.re * b.im + a.im * b.re}; }
C operator*(C a, double b) { return {a.re * b, a.im * b}; }
C operator/(C a, C b) {
  const double by = 1.0 / (b.re * b.re + b.im * b.im);
  return {(a.re * b.re + a.im * b.im) * by, (a.im * b.re - a.re * b.im) * by};
}
double magnitude(C a) { return std::sqrt(a.re * a.re + a.im * a.im); }
C plain(cdouble z) { return {z.real(), z.imag()}; }

struct Disc {
  C centre{};
  double radius = 0.0;
};
Disc operator+(const Disc& a, const Disc& b) { return {a.centre + b.centre, a.radius + b.radius}; }
Disc operator*(const Disc& a, const Disc& b) {
  return {a.centre * b.centre, magnitude(a.centre) * b.radius + magnitude(b.centre) * a.radius + a.radius * b.radius};
}
double reach(const Disc& d) { return magnitude(d.centre) + d.radius; }

/// a + b u, a complex number that is linear in a real one.
struct Linear {
  C a, b;
};

/// Cuts off the ends of low .. high at which |x| > factor |y|. @return  false when nothing is left
bool cut(const Linear& x, const Linear& y, double factor, double& low, double& high) {
  // |x|^2 - k |y|^2 = square u^2 + 2 half u + constant; each with the size of what was subtracted, for rounding.
  const double k = factor * factor * widened_cut;
  const auto dot = [](C a, C b) { return a.re * b.re + a.im * b.im; };
  const double xx = dot(x.b, x.b), yy = k * dot(y.b, y.b), x0 = dot(x.a, x.a), y0 = k * dot(y.a, y.a);
  const double square = xx - yy, half = dot(x.a, x.b) - k * dot(y.a, y.b), constant = x0 - y0;
  const double half_size = std::sqrt(x0 * xx) + std::sqrt(y0 * yy);
  const double inside =
      half * half - square * constant +
      rounding * (std::abs(half) * half_size + std::abs(square) * (x0 + y0) + std::abs(constant) * (xx + yy));
  if (square > rounding * (xx + yy)) {
    if (inside < 0.0) return false;
    const double root = std::sqrt(inside), slack = 1e-9 * (std::abs(half) + root) + rounding * half_size;
    low = std::max(low, (-half - root - slack) / square);
    high = std::min(high, (-half + root + slack) / square);
  } else if (square < -rounding * (xx + yy) && inside > 0.0) {  // what lies between the roots is excluded
    const double root = std::sqrt(inside), slack = 1e-9 * (std::abs(half) + root) + rounding * half_size;
    const double from = (-half + root - slack) / square, to = (-half - root + slack) / square;
    if (from < to) {
      const bool no_low = low > from && low < to;
      const bool no_high = high > from && high < to;
      if (no_low && no_high) return false;
      if (no_low) low = to;
      if (no_high) high = from;
    }
  }
  return low <= high;
}

template <class T>
using PerSlot = std::array<T, most_slots>;

struct Box {
  double bound = infinite;
  std::uint32_t circuit = 0;
  std::uint32_t widest = 0;  // the slot that adds most to the discs
  PerSlot<std::uint32_t> piece{};
  PerSlot<double> low{}, high{};
};
struct LessBound {
  bool operator()(const Box& a, const Box& b) const { return a.bound < b.bound; }
};

double middle(double low, double high) { return std::sqrt(low * high); }

/// Least |a + b t| for t in low .. high.
double least_on_segment(C a, C b, double low, double high) {
  const double b2 = b.re * b.re + b.im * b.im;
  const double nearest = b2 > 0.0 ? -(a.re * b.re + a.im * b.im) / b2 : low;
  return magnitude(a + b * std::clamp(nearest, low, high));
}

/// Where the impedance (series) or admittance (shunt) of a piece stays while its value is in low .. high.
Disc disc_of(const Piece& piece, std::size_t f, double low, double high, bool series) {
  if (!piece.of_range) return {plain(piece.fixed[f]), 0.0};
  const Piece::Law& law = piece.laws[f];
  const double t1 = piece.inverse ? law.t_of_one / high : law.t_of_one * low;
  const double t2 = piece.inverse ? law.t_of_one / low : law.t_of_one * high;
  const double t = middle(t1, t2);
  const C z0 = plain(law.z0), zeta = plain(law.zeta), w = z0 + zeta * t, b{0.0, law.parallel_siemens}, one{1.0, 0.0};
  const double size = magnitude(zeta);
  if (series) {
    // z - z' = (w - w') / ((1 + b w)(1 + b w')).
    const C d = one + b * w;
    const double least = least_on_segment(one + b * z0, b * zeta, t1, t2);
    return {w / d, std::min(size * (t2 - t) / (magnitude(d) * least) * widened, widest_radius)};
  }
  // y - y' = (w' - w) / (w w'); |t - t'| / |w| grows away from t' on both sides.
  const double low_side = (t - t1) / magnitude(z0 + zeta * t1), high_side = (t2 - t) / magnitude(z0 + zeta * t2);
  return {one / w + b, size * std::max(low_side, high_side) / magnitude(w) * widened};
}

class BoxSearch {
public:
  BoxSearch(const std::vector<std::vector<BoxSlot>>& circuits, const Points& points, const SourceLimits& limits,
            bool must_hold, BoxSetting known, bool parts_known)
      : circuits_(circuits), points_(points), limits_(limits), must_hold_(must_hold), parts_known_(parts_known),
        most_reflection_(std::sqrt(limits.most_reflection2)), held_reflection_(most_reflection_ * inner_side) {
    answer_.best = std::move(known);
    frequencies_ = 1 + *std::max_element(points.frequency.begin(), points.frequency.end());
    discs_.resize(most_slots * frequencies_);
    order_.resize(points.size());
    std::iota(order_.begin(), order_.end(), std::size_t{0});
    bounding_.resize(active());
    std::iota(bounding_.begin(), bounding_.end(), std::size_t{0});
    reached_.resize(active());
    for (std::size_t k = 0; k < points.size(); ++k)
      lossless_.push_back(points.power[k] * points.most_gain[k] / (4.0 * limits.source.z_ohm.real() * points.v_re[k]));
  }

  BoxAnswer run(double gap, std::size_t most_boxes) {
    improve();
    for (std::size_t c = 0; c < circuits_.size(); ++c) add_roots(c);
    std::size_t boxes = queue_.size();
    answer_.bound_share = answer_.best.share;
    while (!queue_.empty()) {
      Box box = queue_.top();
      if (box.bound <= answer_.best.share * gap || boxes >= most_boxes) {
        answer_.bound_share = std::max(answer_.best.share, box.bound);
        answer_.closed = box.bound <= answer_.best.share * gap;
        return answer_;
      }
      queue_.pop();
      const std::size_t slot = box.widest;
      const double low = box.low[slot], high = box.high[slot];
      if (!(high > low * narrow)) {  // nothing left to halve: what cannot be told apart by numbers
        answer_.bound_share = std::max(answer_.bound_share, box.bound);
        continue;
      }
      for (const bool upper : {false, true}) {
        box.low[slot] = upper ? middle(low, high) : low;
        box.high[slot] = upper ? high : middle(low, high);
        look_at(box);
        ++boxes;
      }
    }
    answer_.bound_share = std::max(answer_.bound_share, answer_.best.share);
    answer_.closed = answer_.bound_share <= std::max(answer_.best.share * gap, 0.0);
    return answer_;
  }

private:
  void add_roots(std::size_t circuit) {
    const std::vector<BoxSlot>& slots = circuits_[circuit];
    require(slots.size() <= most_slots, "a circuit with continuous values has at most 6 slots");
    Box box;
    box.circuit = static_cast<std::uint32_t>(circuit);
    bool of_range = false;
    for (const BoxSlot& slot : slots) {
      if (slot.pieces.empty()) return;
      of_range =
          of_range || std::any_of(slot.pieces.begin(), slot.pieces.end(), [](const Piece& p) { return p.of_range; });
    }
    if (parts_known_ && !of_range) return;
    for (;;) {
      bool parts_alone = true;
      for (std::size_t n = 0; n < slots.size(); ++n) {
        const Piece& piece = slots[n].pieces[box.piece[n]];
        box.low[n] = piece.low, box.high[n] = piece.high;
        parts_alone = parts_alone && !piece.of_range;
      }
      if (!parts_known_ || !parts_alone) look_at(box);
      std::size_t n = 0;
      while (n < slots.size() && ++box.piece[n] == slots[n].pieces.size()) box.piece[n++] = 0;
      if (n == slots.size()) return;
    }
  }

  void set_discs(const Box& box, std::size_t n) {
    const BoxSlot& slot = circuits_[box.circuit][n];
    for (std::size_t f = 0; f < frequencies_; ++f)
      discs_[n * frequencies_ + f] = disc_of(slot.pieces[box.piece[n]], f, box.low[n], box.high[n], slot.series);
  }

  /// Cuts off the values of each slot that are too bad at some point, wherever the other slots are within the box. With
  /// the other slots as discs the wave is A = P + Q z, z a quotient of linear forms in the value (or its inverse), so
  /// "not worse than what is known" and the SWR limit are quadratic inequalities.
  /// @return  false when nothing is left
  bool contract(Box& box) {
    const std::vector<BoxSlot>& slots = circuits_[box.circuit];
    for (std::size_t s = slots.size(); s-- > 0;) {
      const Piece& piece = slots[s].pieces[box.piece[s]];
      if (!piece.of_range) continue;
      double low = piece.inverse ? 1.0 / box.high[s] : box.low[s],
             high = piece.inverse ? 1.0 / box.low[s] : box.high[s];
      const double low_before = low, high_before = high;
      for (std::size_t m = 0; m < active(); ++m) {
        if (contract_at(slots, s, piece, order_[m], low, high)) continue;
        std::rotate(order_.begin(), order_.begin() + static_cast<std::ptrdiff_t>(m),
                    order_.begin() + static_cast<std::ptrdiff_t>(m) + 1);
        return false;
      }
      if (low == low_before && high == high_before) continue;
      box.low[s] = std::max(box.low[s], piece.inverse ? 1.0 / high : low);
      box.high[s] = std::min(box.high[s], piece.inverse ? 1.0 / low : high);
      if (box.low[s] > box.high[s]) box.low[s] = box.high[s];  // by rounding
      set_discs(box, s);
    }
    return true;
  }

  bool contract_at(const std::vector<BoxSlot>& slots, std::size_t s, const Piece& piece, std::size_t k, double& low,
                   double& high) const {
    const std::size_t f = points_.frequency[k];
    Disc v{{points_.v_re[k], points_.v_im[k]}, 0.0}, i{{1.0, 0.0}, 0.0};
    for (std::size_t n = 0; n < s; ++n) {
      const Disc& part = discs_[n * frequencies_ + f];
      if (slots[n].series)
        v = v + part * i;
      else
        i = i + part * v;
    }
    const auto waves = [&](C first, C second) {  // P and Q
      Disc on_v{first, 0.0}, on_i{second, 0.0};
      for (std::size_t n = slots.size(); n-- > s + 1;) {
        const Disc& part = discs_[n * frequencies_ + f];
        if (slots[n].series)
          on_i = on_i + part * on_v;
        else
          on_v = on_v + part * on_i;
      }
      return std::pair{on_v * v + on_i * i, slots[s].series ? on_v * i : on_i * v};
    };
    // z = u / d (series) or y = d / u (shunt) with u = z0 + zeta t, d = 1 + j b u: both linear in the value.
    const Piece::Law& law = piece.laws[f];
    const C zeta = plain(law.zeta * law.t_of_one), jb{0.0, law.parallel_siemens};
    const Linear u{plain(law.z0), zeta}, d{C{1.0, 0.0} + jb * u.a, jb * u.b};
    const Linear& above = slots[s].series ? u : d;
    const Linear& below = slots[s].series ? d : u;
    const auto times_below = [&](const std::pair<Disc, Disc>& w) {
      const C p = w.first.centre, q = w.second.centre;
      return Linear{p * below.a + q * above.a, p * below.b + q * above.b};
    };
    const double most_part = reach(discs_[s * frequencies_ + f]);
    const auto error = [&](const std::pair<Disc, Disc>& w) { return w.first.radius + w.second.radius * most_part; };
    const auto a =
        waves({points_.waves.av_re[k], points_.waves.av_im[k]}, {points_.waves.ai_re[k], points_.waves.ai_im[k]});
    const Linear a_below = times_below(a);
    const double a_error = error(a);
    if (answer_.best.share > 0.0 &&
        !cut(a_below, below, std::sqrt(points_.power[k] / answer_.best.share) + a_error, low, high))
      return false;
    if (!must_hold_) return true;
    // |B| <= rho |A| with discs: the errors count against the least |A| that there can be.
    const double least_a = std::sqrt(points_.power[k] / lossless_[k]) - a_error;
    if (!(least_a > 0.0)) return true;
    const auto b =
        waves({points_.waves.bv_re[k], points_.waves.bv_im[k]}, {points_.waves.bi_re[k], points_.waves.bi_im[k]});
    return cut(times_below(b), a_below, most_reflection_ + (error(b) + most_reflection_ * a_error) / least_a, low,
               high);
  }

  /// Evaluates the middle of a box, bounds the box, and keeps it while it may hold something better.
  void look_at(Box box) {
    const std::vector<BoxSlot>& slots = circuits_[box.circuit];
    const std::size_t depth = slots.size();
    for (std::size_t n = 0; n < depth; ++n) set_discs(box, n);
    // What spoiled the last box often spoils this one.
    if (const std::size_t k = order_[bounding_.front()]; bound_at(waves_at(slots, k), k) <= answer_.best.share) return;
    if (!contract(box)) return;
    ++answer_.tried;
    double share = infinite, bound = infinite;
    bool middle_holds = true;
    for (std::size_t m = 0; m < active(); ++m) {
      const std::size_t k = order_[bounding_[m]];
      const Reached& w = reached_[bounding_[m]] = waves_at(slots, k);
      bound = std::min(bound, bound_at(w, k));
      if (bound <= answer_.best.share) {  // nor can the middle be better; this point is asked first next time
        std::rotate(bounding_.begin(), bounding_.begin() + static_cast<std::ptrdiff_t>(m),
                    bounding_.begin() + static_cast<std::ptrdiff_t>(m) + 1);
        return;
      }
      middle_holds = middle_holds && magnitude(w.b) <= held_reflection_ * magnitude(w.a);
      if (share > answer_.best.share) share = std::min(share, share_of(w, k));
    }
    PerSlot<double> width{};
    for (std::size_t m = 0; m < active(); ++m) {
      for (std::size_t n = 0; n < depth; ++n) width[n] += reached_[m].a_radius[n] / magnitude(reached_[m].a);
    }
    if ((middle_holds || !must_hold_) && share > answer_.best.share) try_middle(box, share);
    if (bound <= answer_.best.share) return;
    box.bound = bound;
    box.widest = 0;
    for (std::size_t n = 1; n < depth; ++n)
      if (width[n] > width[box.widest]) box.widest = static_cast<std::uint32_t>(n);
    queue_.push(box);
  }

  /// Waves in the middle, and how far each slot's disc moves them.
  struct Reached {
    C a, b;
    PerSlot<double> a_radius{}, b_radius{};
  };

  /// What no setting within the discs exceeds at a point; -1: none is within the SWR limit there.
  double bound_at(const Reached& w, std::size_t k) const {
    const double a = magnitude(w.a), b = magnitude(w.b);
    const double a_radius = std::accumulate(w.a_radius.begin(), w.a_radius.end(), 0.0);
    const double b_radius = std::accumulate(w.b_radius.begin(), w.b_radius.end(), 0.0);
    const double least_a = std::max(a - a_radius, 0.0) / widened, most_a = (a + a_radius) * widened;
    const double least_b = std::max(b - b_radius, 0.0) / widened;
    if (must_hold_ && least_b > most_reflection_ * most_a) return -1.0;
    const double at_full_power = std::min(points_.power[k] / (least_a * least_a), lossless_[k]);
    if (at_full_power <= answer_.best.share) return at_full_power;
    return at_full_power * limits_.offered(least_b / most_a * (least_b / most_a));
  }

  /// Points that bound a box; the others are looked at where a middle is better than what is known.
  std::size_t active() const { return std::min<std::size_t>(order_.size(), 12); }

  double share_of(const Reached& w, std::size_t k) const {
    const double a2 = w.a.re * w.a.re + w.a.im * w.a.im, b2 = w.b.re * w.b.re + w.b.im * w.b.im;
    return points_.power[k] / a2 * limits_.offered(b2 / a2);
  }

  /// Looks at the middle of a box at all points. One that spoils it comes to the front of the order.
  void try_middle(const Box& box, double share) {
    const std::vector<BoxSlot>& slots = circuits_[box.circuit];
    for (std::size_t m = active(); m < order_.size(); ++m) {
      const Reached w = waves_at(slots, order_[m]);
      const bool holds = magnitude(w.b) <= held_reflection_ * magnitude(w.a);
      share = std::min(share, share_of(w, order_[m]));
      if (share > answer_.best.share && (holds || !must_hold_)) continue;
      std::rotate(order_.begin(), order_.begin() + static_cast<std::ptrdiff_t>(m),
                  order_.begin() + static_cast<std::ptrdiff_t>(m) + 1);
      return;
    }
    answer_.best = {box.circuit, share, {}, {}};
    for (std::size_t n = 0; n < slots.size(); ++n) {
      answer_.best.pieces.push_back(box.piece[n]);
      answer_.best.values.push_back(middle(box.low[n], box.high[n]));
    }
    improve();
  }

  /// Share of a setting at its worst point; -1 when it must hold and does not.
  double worst_share(const BoxSetting& setting) {
    Box box;
    box.circuit = static_cast<std::uint32_t>(setting.circuit);
    for (std::size_t n = 0; n < setting.pieces.size(); ++n) {
      box.piece[n] = static_cast<std::uint32_t>(setting.pieces[n]);
      box.low[n] = box.high[n] = setting.values[n];
      set_discs(box, n);
    }
    ++answer_.tried;
    double share = infinite;
    for (const std::size_t k : order_) {
      const Reached w = waves_at(circuits_[setting.circuit], k);
      if (must_hold_ && magnitude(w.b) > held_reflection_ * magnitude(w.a)) return -1.0;
      share = std::min(share, share_of(w, k));
      if (share <= answer_.best.share) break;
    }
    return share;
  }

  /// Steps of the best setting's values, along each and along two at once, ever smaller ones, as long as they gain.
  void improve() {
    if (answer_.best.pieces.empty()) return;
    const std::vector<BoxSlot>& slots = circuits_[answer_.best.circuit];
    std::vector<std::size_t> free;
    for (std::size_t n = 0; n < slots.size(); ++n)
      if (slots[n].pieces[answer_.best.pieces[n]].of_range) free.push_back(n);
    const auto gains = [&](std::size_t first, double first_step, std::size_t second, double second_step) {
      BoxSetting next = answer_.best;
      const auto step = [&](std::size_t n, double by) {
        const Piece& piece = slots[n].pieces[next.pieces[n]];
        next.values[n] = std::clamp(next.values[n] * (1.0 + by), piece.low, piece.high);
      };
      step(first, first_step);
      if (second != first) step(second, second_step);
      next.share = worst_share(next);
      if (!(next.share > answer_.best.share)) return false;
      answer_.best = std::move(next);
      return true;
    };
    for (double step = largest_step; step > least_step;) {
      bool gained = false;
      for (const std::size_t first : free) {
        for (const std::size_t second : free) {
          for (const double by : {step, -step}) {
            gained = gains(first, by, second, step) || gained;
            if (second != first) gained = gains(first, by, second, -step) || gained;
          }
        }
      }
      step = gained ? std::min(1.5 * step, largest_step) : 0.5 * step;
    }
  }

  Reached waves_at(const std::vector<BoxSlot>& slots, std::size_t k) const {
    C v{points_.v_re[k], points_.v_im[k]}, i{1.0, 0.0};
    PerSlot<double> v_radius{}, i_radius{};
    const std::size_t depth = slots.size(), f = points_.frequency[k];
    for (std::size_t n = 0; n + 1 < depth; ++n) {
      const Disc& part = discs_[n * frequencies_ + f];
      const double reach = magnitude(part.centre) + part.radius;
      if (slots[n].series) {
        for (std::size_t s = 0; s < n; ++s) v_radius[s] += reach * i_radius[s];
        v_radius[n] = magnitude(i) * part.radius;
        v = v + part.centre * i;
      } else {
        for (std::size_t s = 0; s < n; ++s) i_radius[s] += reach * v_radius[s];
        i_radius[n] = magnitude(v) * part.radius;
        i = i + part.centre * v;
      }
    }
    const C av{points_.waves.av_re[k], points_.waves.av_im[k]}, ai{points_.waves.ai_re[k], points_.waves.ai_im[k]};
    const C bv{points_.waves.bv_re[k], points_.waves.bv_im[k]}, bi{points_.waves.bi_re[k], points_.waves.bi_im[k]};
    Reached w;
    if (depth == 0) {
      w.a = av * v + ai * i, w.b = bv * v + bi * i;
      return w;
    }
    // A = av V + (ai + av z) I with the last part in series, (av + ai y) V + ai I across: V and I of the other slots
    // move it by these factors, the last part by its own.
    const Disc& last = discs_[(depth - 1) * frequencies_ + f];
    const auto wave = [&](C on_v, C on_i, C& centre, PerSlot<double>& radius) {
      const double direct_v = magnitude(on_v), direct_i = magnitude(on_i);
      if (slots.back().series) {
        const C through = on_i + on_v * last.centre;
        const double factor = magnitude(through) + direct_v * last.radius;
        for (std::size_t s = 0; s + 1 < depth; ++s) radius[s] = direct_v * v_radius[s] + factor * i_radius[s];
        radius[depth - 1] = direct_v * magnitude(i) * last.radius;
        centre = on_v * v + through * i;
      } else {
        const C through = on_v + on_i * last.centre;
        const double factor = magnitude(through) + direct_i * last.radius;
        for (std::size_t s = 0; s + 1 < depth; ++s) radius[s] = direct_i * i_radius[s] + factor * v_radius[s];
        radius[depth - 1] = direct_i * magnitude(v) * last.radius;
        centre = through * v + on_i * i;
      }
    };
    wave(av, ai, w.a, w.a_radius);
    wave(bv, bi, w.b, w.b_radius);
    return w;
  }

  const std::vector<std::vector<BoxSlot>>& circuits_;
  const Points& points_;
  const SourceLimits& limits_;
  bool must_hold_;
  bool parts_known_;
  double most_reflection_;  // that bounds exclude
  double held_reflection_;  // that settings keep
  std::size_t frequencies_ = 0;
  std::vector<double> lossless_;       // share at each point when all that reaches the setting reaches the load
  std::vector<std::size_t> order_;     // of points: those that bound most boxes first
  std::vector<std::size_t> bounding_;  // of places in it: in which they are looked at
  std::vector<Reached> reached_;       // of the box looked at, by place
  std::vector<Disc> discs_;            // of the box looked at: [slot * frequencies + frequency]
  std::priority_queue<Box, std::vector<Box>, LessBound> queue_;
  BoxAnswer answer_;
};

}  // namespace

BoxAnswer search_boxes(const std::vector<std::vector<BoxSlot>>& circuits, const Points& points,
                       const SourceLimits& limits, bool must_hold, BoxSetting known, bool parts_known, double gap,
                       std::size_t most_boxes) {
  return BoxSearch(circuits, points, limits, must_hold, std::move(known), parts_known).run(gap, most_boxes);
}

}  // namespace stile::match::detail
