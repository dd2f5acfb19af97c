#include <stile/match/detail/setting_search.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

namespace stile::match::detail {
namespace {

constexpr double infinite = network::infinite;
constexpr double widened = 1.0 + 1e-10;  // intervals and bounds are computed with rounding and must leave nothing out

}  // namespace

SlotTable make_slot_table(bool series, std::size_t frequencies, const std::vector<cdouble>& z_ohm,
                          const std::vector<std::size_t>& class_of) {
  SlotTable t;
  t.series = series;
  t.count = class_of.size(), t.frequencies = frequencies;
  t.re.resize(z_ohm.size()), t.im.resize(z_ohm.size());
  std::vector<bool> usable(t.count, true);
  for (std::size_t f = 0; f < frequencies; ++f) {
    for (std::size_t j = 0; j < t.count; ++j) {
      const std::size_t n = f * t.count + j;
      const bool none = std::isinf(z_ohm[n].real());
      const cdouble value = none ? cdouble{0.0} : series ? z_ohm[n] : 1.0 / z_ohm[n];
      t.re[n] = value.real(), t.im[n] = value.imag();
      if (!network::finite(value)) usable[j] = false;
    }
  }
  const std::size_t classes = t.count == 0 ? 0 : *std::max_element(class_of.begin(), class_of.end()) + 1;
  t.class_start.assign(classes + 1, 0);
  for (std::size_t j = 0; j < t.count; ++j) {
    if (usable[j]) ++t.class_start[class_of[j] + 1];
  }
  std::partial_sum(t.class_start.begin(), t.class_start.end(), t.class_start.begin());
  t.members.resize(t.class_start.back());
  std::vector<std::size_t> next(t.class_start.begin(), t.class_start.end() - 1);
  for (std::size_t j = 0; j < t.count; ++j) {
    if (usable[j]) t.members[next[class_of[j]]++] = static_cast<std::uint32_t>(j);
  }
  for (std::size_t f = 0; f < frequencies; ++f) {
    const double* im = t.im.data() + f * t.count;
    std::vector<std::uint32_t> order = t.members;
    for (std::size_t c = 0; c < classes; ++c) {
      const auto from = order.begin() + static_cast<std::ptrdiff_t>(t.class_start[c]);
      const auto to = order.begin() + static_cast<std::ptrdiff_t>(t.class_start[c + 1]);
      std::sort(from, to, [&](std::uint32_t a, std::uint32_t b) { return im[a] != im[b] ? im[a] < im[b] : a < b; });
    }
    for (const std::uint32_t j : order) {
      t.order_im.push_back(im[j]);
      t.order_re.push_back(t.re[f * t.count + j]);
    }
    t.order.insert(t.order.end(), order.begin(), order.end());
  }
  return t;
}

double swr_of(double reflection2) {
  const double r = std::sqrt(reflection2);
  return r < 1.0 ? (1.0 + r) / (1.0 - r) : infinite;
}

double SourceLimits::offered(double reflection2) const {
  if (foldback.empty()) return 1.0;
  return network::power_at_swr(source.power_w, foldback, swr_of(reflection2)) / source.power_w;
}

std::optional<Combination> CombinationSearch::best(const std::vector<const SlotTable*>& slots,
                                                   const std::vector<std::size_t>& classes, const Points& points,
                                                   bool must_hold, double floor) {
  any_ = false;
  search(slots, classes, points, must_hold, floor);
  if (!found_) return std::nullopt;
  return best_;
}

bool CombinationSearch::any_holds(const std::vector<const SlotTable*>& slots, const std::vector<std::size_t>& classes,
                                  const Points& points) {
  any_ = true;
  search(slots, classes, points, true, -1.0);
  return found_;
}

void CombinationSearch::search(const std::vector<const SlotTable*>& slots, const std::vector<std::size_t>& classes,
                               const Points& points, bool must_hold, double floor) {
  slots_ = &slots, classes_ = &classes, points_ = &points;
  must_hold_ = must_hold, found_ = false;
  best_.share = floor;
  const std::size_t n = points.size(), depth = slots.size();
  choice_.assign(depth, 0);
  // The slot of most choices is scanned; others than that at the transmitter only when it pays.
  scanned_ = depth == 0 ? 0 : depth - 1;
  const auto choices = [&](std::size_t slot) {
    return slots[slot]->class_start[classes[slot] + 1] - slots[slot]->class_start[classes[slot]];
  };
  for (std::size_t slot = 0; slot < depth; ++slot)
    if (choices(slot) > 8 * choices(scanned_)) scanned_ = slot;
  waves_ = points.waves;
  if (states_.size() < std::max<std::size_t>(depth, 1)) states_.resize(std::max<std::size_t>(depth, 1));
  if (bounded_.size() < depth) bounded_.resize(depth);
  for (State& s : states_) {
    for (std::vector<double>* row : {&s.v_re, &s.v_im, &s.i_re, &s.i_im}) row->resize(n);
  }
  for (std::vector<double>* row : {&a0_re_, &a0_im_, &a1_re_, &a1_im_, &b0_re_, &b0_im_, &b1_re_, &b1_im_})
    row->resize(n);
  State& start = states_.front();
  std::copy(points.v_re.begin(), points.v_re.end(), start.v_re.begin());
  std::copy(points.v_im.begin(), points.v_im.end(), start.v_im.begin());
  std::fill(start.i_re.begin(), start.i_re.end(), 1.0);
  std::fill(start.i_im.begin(), start.i_im.end(), 0.0);
  if (depth == 0)
    judge_straight();
  else
    choose_before_scan(depth - 1);
}

/// Every choice of the slots between the transmitter and the scanned one, and for each the others.
void CombinationSearch::choose_before_scan(std::size_t slot_index) {
  if (slot_index == scanned_) return descend(0);
  const SlotTable& slot = *(*slots_)[slot_index];
  const std::size_t c = (*classes_)[slot_index];
  const Waves before = waves_;
  for (std::size_t m = slot.class_start[c]; m < slot.class_start[c + 1]; ++m) {
    choice_[slot_index] = slot.members[m];
    for (std::size_t k = 0; k < points_->size(); ++k) {
      const std::size_t n = points_->frequency[k] * slot.count + slot.members[m];
      const double x = slot.re[n], y = slot.im[n];
      const auto add = [&](double& re, double& im, double from_re, double from_im) {
        re += x * from_re - y * from_im, im += x * from_im + y * from_re;
      };
      if (slot.series) {  // V + z I in place of V
        add(waves_.ai_re[k], waves_.ai_im[k], before.av_re[k], before.av_im[k]);
        add(waves_.bi_re[k], waves_.bi_im[k], before.bv_re[k], before.bv_im[k]);
      } else {
        add(waves_.av_re[k], waves_.av_im[k], before.ai_re[k], before.ai_im[k]);
        add(waves_.bv_re[k], waves_.bv_im[k], before.bi_re[k], before.bi_im[k]);
      }
    }
    choose_before_scan(slot_index - 1);
    if (ends()) return;
    waves_ = before;
  }
}

/// Takes what was evaluated when it is better, or equal with lower indices from the transmitter on.
void CombinationSearch::offer(double share) {
  if (share > best_.share ||
      (found_ && share == best_.share &&
       std::lexicographical_compare(choice_.rbegin(), choice_.rend(), best_.choices.rbegin(), best_.choices.rend()))) {
    best_ = {share, choice_};
    found_ = true;
  }
}

void CombinationSearch::judge_straight() {
  ++tried_;
  double share = infinite;
  for (const PointResult& r : judge(*slots_, choice_, *points_, limits_)) {
    if (must_hold_ && r.reflection2 > limits_.most_reflection2) return;
    share = std::min(share, r.share);
  }
  offer(share);
}

/// No combination with this choice in the slot has a greater share, whatever stands before it.
double CombinationSearch::bound_of(std::size_t depth, std::uint32_t choice) const {
  const SlotTable& slot = *(*slots_)[depth];
  const State& s = states_[depth];
  const Points& p = *points_;
  const bool before_scan = depth + 1 == scanned_;
  const bool next_series = (*slots_)[depth + 1]->series;
  double bound = infinite;
  for (std::size_t k = 0; k < p.size(); ++k) {
    const std::size_t n = p.frequency[k] * slot.count + choice;
    const double x = slot.re[n], y = slot.im[n];
    double vr = s.v_re[k], vi = s.v_im[k], ir = s.i_re[k], ii = s.i_im[k];
    if (slot.series) {
      const double r = vr + x * ir - y * ii, i = vi + x * ii + y * ir;
      vr = r, vi = i;
    } else {
      const double r = ir + x * vr - y * vi, i = ii + x * vi + y * vr;
      ir = r, ii = i;
    }
    double share = 0.0;
    if (before_scan) {
      // Least |A0 + A1 z| over Re z >= 0.
      const double a0r = waves_.av_re[k] * vr - waves_.av_im[k] * vi + waves_.ai_re[k] * ir - waves_.ai_im[k] * ii;
      const double a0i = waves_.av_re[k] * vi + waves_.av_im[k] * vr + waves_.ai_re[k] * ii + waves_.ai_im[k] * ir;
      const double ur = next_series ? ir : vr, ui = next_series ? ii : vi;
      const double wr = next_series ? waves_.av_re[k] : waves_.ai_re[k],
                   wi = next_series ? waves_.av_im[k] : waves_.ai_im[k];
      const double a1r = wr * ur - wi * ui, a1i = wr * ui + wi * ur;
      const double projection = a0r * a1r + a0i * a1i;
      if (projection <= 0.0) continue;
      share = p.power[k] * (a1r * a1r + a1i * a1i) / (projection * projection);
    } else {
      share = p.power[k] * p.most_gain[k] / (4.0 * limits_.source.z_ohm.real() * (vr * ir + vi * ii));
    }
    bound = std::min(bound, share);
    if (bound * widened < best_.share) break;
  }
  return bound * widened;
}

/// Voltages and currents behind the choice in a slot, for the slot before it.
void CombinationSearch::step(std::size_t depth, std::uint32_t choice) {
  const SlotTable& slot = *(*slots_)[depth];
  const State& s = states_[depth];
  State& next = states_[depth + 1];
  for (std::size_t k = 0; k < points_->size(); ++k) {
    const std::size_t n = points_->frequency[k] * slot.count + choice;
    const double x = slot.re[n], y = slot.im[n];
    next.v_re[k] = s.v_re[k], next.v_im[k] = s.v_im[k], next.i_re[k] = s.i_re[k], next.i_im[k] = s.i_im[k];
    if (slot.series) {
      next.v_re[k] += x * s.i_re[k] - y * s.i_im[k], next.v_im[k] += x * s.i_im[k] + y * s.i_re[k];
    } else {
      next.i_re[k] += x * s.v_re[k] - y * s.v_im[k], next.i_im[k] += x * s.v_im[k] + y * s.v_re[k];
    }
  }
}

void CombinationSearch::descend(std::size_t depth) {
  if (depth == scanned_) return scan();
  const SlotTable& slot = *(*slots_)[depth];
  const std::size_t c = (*classes_)[depth];
  std::vector<Bounded>& all = bounded_[depth];
  all.clear();
  for (std::size_t m = slot.class_start[c]; m < slot.class_start[c + 1]; ++m) {
    const double bound = bound_of(depth, slot.members[m]);
    if (bound >= best_.share) all.push_back({bound, slot.members[m]});
  }
  std::sort(all.begin(), all.end(), [](const Bounded& a, const Bounded& b) {
    return a.bound != b.bound ? a.bound > b.bound : a.choice < b.choice;
  });
  for (const Bounded& b : all) {
    if (b.bound < best_.share || ends()) break;
    choice_[depth] = b.choice;
    step(depth, b.choice);
    descend(depth + 1);
  }
}

void CombinationSearch::scan() {
  const SlotTable& slot = *(*slots_)[scanned_];
  const State& s = states_[scanned_];
  const Points& p = *points_;
  const double rho2 = limits_.most_reflection2;
  low_.assign(slot.frequencies, -infinite), high_.assign(slot.frequencies, infinite);
  re_low_.assign(slot.frequencies, 0.0), re_high_.assign(slot.frequencies, infinite);
  seen_.assign(slot.frequencies, 0);
  for (std::size_t k = 0; k < p.size(); ++k) {
    const double vr = s.v_re[k], vi = s.v_im[k], ir = s.i_re[k], ii = s.i_im[k];
    const double ur = slot.series ? ir : vr, ui = slot.series ? ii : vi;
    const double awr = slot.series ? waves_.av_re[k] : waves_.ai_re[k],
                 awi = slot.series ? waves_.av_im[k] : waves_.ai_im[k];
    const double bwr = slot.series ? waves_.bv_re[k] : waves_.bi_re[k],
                 bwi = slot.series ? waves_.bv_im[k] : waves_.bi_im[k];
    const double a0r = a0_re_[k] =
        waves_.av_re[k] * vr - waves_.av_im[k] * vi + waves_.ai_re[k] * ir - waves_.ai_im[k] * ii;
    const double a0i = a0_im_[k] =
        waves_.av_re[k] * vi + waves_.av_im[k] * vr + waves_.ai_re[k] * ii + waves_.ai_im[k] * ir;
    const double b0r = b0_re_[k] =
        waves_.bv_re[k] * vr - waves_.bv_im[k] * vi + waves_.bi_re[k] * ir - waves_.bi_im[k] * ii;
    const double b0i = b0_im_[k] =
        waves_.bv_re[k] * vi + waves_.bv_im[k] * vr + waves_.bi_re[k] * ii + waves_.bi_im[k] * ir;
    const double a1r = a1_re_[k] = awr * ur - awi * ui, a1i = a1_im_[k] = awr * ui + awi * ur;
    const double b1r = b1_re_[k] = bwr * ur - bwi * ui, b1i = b1_im_[k] = bwr * ui + bwi * ur;
    const double a1 = a1r * a1r + a1i * a1i, b1 = b1r * b1r + b1i * b1i;
    double& low = low_[p.frequency[k]];
    double& high = high_[p.frequency[k]];
    double& re_low = re_low_[p.frequency[k]];
    double& re_high = re_high_[p.frequency[k]];
    seen_[p.frequency[k]] = 1;
    // A disc leaves the reactances that it has at Re z >= 0, and the resistances that it has at all.
    const auto within = [&](double centre_re, double centre_im, double radius2) {
      const double off = std::min(centre_re, 0.0);
      const double half2 = radius2 * widened - off * off;
      if (half2 < 0.0) {
        low = infinite;
        return;
      }
      const double half = std::sqrt(half2) + 1e-10 * (std::abs(centre_im) + std::abs(centre_re));
      low = std::max(low, centre_im - half);
      high = std::min(high, centre_im + half);
      const double radius = std::sqrt(radius2 * widened) + 1e-10 * (std::abs(centre_im) + std::abs(centre_re));
      re_low = std::max(re_low, centre_re - radius);
      re_high = std::min(re_high, centre_re + radius);
    };
    if (best_.share > 0.0 && a1 > 0.0)
      within(-(a0r * a1r + a0i * a1i) / a1, -(a0i * a1r - a0r * a1i) / a1, p.power[k] / (best_.share * a1));
    if (must_hold_ && !(low > high)) {
      const double q = b1 - rho2 * a1;
      const double mr = b0r * b1r + b0i * b1i - rho2 * (a0r * a1r + a0i * a1i);
      const double mi = b0i * b1r - b0r * b1i - rho2 * (a0i * a1r - a0r * a1i);
      const double n = b0r * b0r + b0i * b0i - rho2 * (a0r * a0r + a0i * a0i);
      if (q > 1e-9 * b1) {
        const double centre2 = (mr * mr + mi * mi) / (q * q);
        within(-mr / q, -mi / q, centre2 - n / q + 1e-9 * centre2);
      }
    }
    if (low > high || re_low > re_high) return;
  }
  // The frequency that leaves the fewest choices.
  const std::size_t c = (*classes_)[scanned_], stride = slot.members.size();
  std::size_t first = 0, last = 0, chosen = slot.frequencies;
  for (std::size_t f = 0; f < slot.frequencies; ++f) {
    if (seen_[f] == 0) continue;
    const double* begin = slot.order_im.data() + f * stride;
    const double* from = std::lower_bound(begin + slot.class_start[c], begin + slot.class_start[c + 1], low_[f]);
    const double* to = std::upper_bound(from, begin + slot.class_start[c + 1], high_[f]);
    const auto a = static_cast<std::size_t>(from - begin), b = static_cast<std::size_t>(to - begin);
    if (chosen == slot.frequencies || b - a < last - first) chosen = f, first = a, last = b;
  }
  for (std::size_t m = first; m < last; ++m) {
    const double re = slot.order_re[chosen * stride + m];
    if (re < re_low_[chosen] || re > re_high_[chosen]) continue;
    const std::uint32_t j = slot.order[chosen * stride + m];
    ++tried_;
    double share = infinite;
    for (std::size_t k = 0; k < p.size() && share >= best_.share; ++k) {
      const std::size_t n = p.frequency[k] * slot.count + j;
      const double x = slot.re[n], y = slot.im[n];
      const double ar = a0_re_[k] + a1_re_[k] * x - a1_im_[k] * y, ai = a0_im_[k] + a1_re_[k] * y + a1_im_[k] * x;
      const double br = b0_re_[k] + b1_re_[k] * x - b1_im_[k] * y, bi = b0_im_[k] + b1_re_[k] * y + b1_im_[k] * x;
      const double a2 = ar * ar + ai * ai, b2 = br * br + bi * bi;
      if (must_hold_ && b2 > rho2 * a2) {
        share = -1.0;
        break;
      }
      share = std::min(share, p.power[k] / a2);
      if (share >= best_.share && !limits_.foldback.empty())
        share = std::min(share, p.power[k] / a2 * limits_.offered(b2 / a2));
    }
    choice_[scanned_] = j;
    if (share >= best_.share) offer(share);
    if (ends()) return;
  }
}

std::vector<PointResult> judge(const std::vector<const SlotTable*>& slots, const std::vector<std::uint32_t>& choices,
                               const Points& p, const SourceLimits& limits) {
  std::vector<PointResult> results;
  for (std::size_t k = 0; k < p.size(); ++k) {
    cdouble v{p.v_re[k], p.v_im[k]}, i = 1.0;
    for (std::size_t d = 0; d < slots.size(); ++d) {
      const std::size_t n = p.frequency[k] * slots[d]->count + choices[d];
      const cdouble value{slots[d]->re[n], slots[d]->im[n]};
      if (slots[d]->series)
        v += value * i;
      else
        i += value * v;
    }
    const double a2 =
        std::norm(cdouble{p.waves.av_re[k], p.waves.av_im[k]} * v + cdouble{p.waves.ai_re[k], p.waves.ai_im[k]} * i);
    const double b2 =
        std::norm(cdouble{p.waves.bv_re[k], p.waves.bv_im[k]} * v + cdouble{p.waves.bi_re[k], p.waves.bi_im[k]} * i);
    results.push_back({p.power[k] / a2 * limits.offered(b2 / a2), b2 / a2});
  }
  return results;
}

}  // namespace stile::match::detail
