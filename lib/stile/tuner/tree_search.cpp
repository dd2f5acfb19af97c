#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numeric>

#include <stile/base/detail/clones.hpp>
#include <stile/base/errors.hpp>
#include <stile/base/parallel.hpp>
#include <stile/tuner/detail/tree_data.hpp>

// As in search.cpp: two instruction sets, no fused operations, so that every state's numbers are those of the search of
// all states, bit for bit.

namespace stile::tuner {
namespace {

using detail::Ends;
using detail::fan;
using detail::leaf_flag;
using detail::LoadEnd;
using detail::Plain;
using detail::TreeData;
using detail::TreeNode;
using detail::TreeSide;

constexpr double slack = 1e-9;  // more than rounding does to a |reflection| or, relatively, to a power

/// A load as the bounds need it.
struct Query {
  cdouble z_load;
  LoadEnd load;
  double x = 0.0, y = 0.0, size = 0.0;  // its reflection
  double heat_scale = 0.0;              // from the form of a node's heat to W at 1 A in the load
  double r_source = 0.0;                // real part of Arms::source
  double per_load = 1.0;                // 0 for a load that takes nothing: every loss is infinite, a tie
};

Query query_of(const TreeData& data, cdouble z_load) {
  Query q;
  q.z_load = z_load;
  const bool dual = data.sides.front().arms.dual;
  q.load = detail::load_end(z_load, dual);
  const double r = data.reference, sum_r = z_load.real() + r, xl = z_load.imag();
  const double sum2 = sum_r * sum_r + xl * xl;
  q.x = ((z_load.real() - r) * sum_r + xl * xl) / sum2;
  q.y = 2.0 * r * xl / sum2;
  q.size = std::sqrt(q.x * q.x + q.y * q.y);
  q.heat_scale = sum2 / (4.0 * r * r);  // 1 / |1 - Gamma|^2
  q.r_source = data.sides.front().arms.source.real();
  q.per_load = z_load.real() > 0.0 ? 1.0 : 0.0;
  return q;
}

/// Lower bounds of |reflection| of eight children.
STILE_CLONES
void reflection_bounds(const TreeNode& node, double x, double y, double size, double* bound) {
  for (std::size_t k = 0; k < fan; ++k) {
    const double dx = x - node.match_x[k], dy = y - node.match_y[k];
    const double sr = 1.0 - (node.output_x[k] * x - node.output_y[k] * y),
                 si = node.output_x[k] * y + node.output_y[k] * x;
    const double gap = std::sqrt(dx * dx + dy * dy) - node.match_radius[k];
    const double most = std::sqrt(sr * sr + si * si) + node.output_radius[k] * size;
    const double value = node.delta[k] * gap / most;
    bound[k] = value > 0.0 ? value : 0.0;
  }
}

/// Lower bounds of a node's children's heat, as a form of the load's reflection.
STILE_CLONES
void heat_bounds(const TreeNode& node, double x, double y, double* bound) {
  for (std::size_t k = 0; k < fan; ++k) {
    const double dx = x + node.heat_x[k], dy = y + node.heat_y[k];
    const double gap = std::sqrt(dx * dx + dy * dy) - node.heat_radius[k];
    const double near = gap > 0.0 ? gap : 0.0;
    bound[k] = node.heat_t[k] * near * near + node.heat_t0[k];
  }
}

/// Immittances of eight states in rows, and what they come to.
struct Leaf {
  double middle_re[fan], middle_im[fan], near_re[fan], near_im[fan], far_re[fan], far_im[fan];
  double reflection2[fan], power[fan], e2[fan];
};

STILE_CLONES
void walk_leaf(Leaf& leaf, const LoadEnd& load, Plain source) {
  const LoadEnd in = load;
  for (std::size_t k = 0; k < fan; ++k) {
    const Ends ends = detail::leave(detail::enter(in, {leaf.far_re[k], leaf.far_im[k]}),
                                    {leaf.middle_re[k], leaf.middle_im[k]}, {leaf.near_re[k], leaf.near_im[k]}, source);
    leaf.reflection2[k] = ends.f2 / ends.e2;
    leaf.power[k] = ends.power;
    leaf.e2[k] = ends.e2;
  }
}

detail::ArmIndex place_in(const TreeSide& side, std::uint32_t state) {
  return {state & ((1U << side.middle_bits) - 1U), state >> side.middle_bits & ((1U << side.near_bits) - 1U),
          state >> (side.middle_bits + side.near_bits)};
}

void load_leaf(const TreeSide& side, const std::uint32_t* states, Leaf& leaf) {
  for (std::size_t k = 0; k < fan; ++k) {
    const detail::ArmIndex at = place_in(side, states[k]);
    const cdouble near = side.arms.near[at.near], far = side.arms.far[at.far];
    leaf.middle_re[k] = side.arms.middle_re[at.middle];
    leaf.middle_im[k] = side.arms.middle_im[at.middle];
    leaf.near_re[k] = near.real();
    leaf.near_im[k] = near.imag();
    leaf.far_re[k] = far.real();
    leaf.far_im[k] = far.imag();
  }
}

/// Least key, ties by the lesser second key, then by the lower index.
struct Best {
  double key = network::infinite, second = network::infinite;
  std::uint64_t index = 0;
  bool found = false;

  bool consider(double new_key, double new_second, std::uint64_t new_index) {
    const bool wins = new_key < key ||
                      (new_key == key && (new_second < second || (new_second == second && found && new_index < index)));
    if (wins) *this = {new_key, new_second, new_index, true};
    return wins;
  }
};

/// What a search minimises, as key and second key of a state, and the bounds that go with them.
/// `Reflection`: |reflection|^2, then power. Of every state.
struct Reflection {
  static constexpr bool needs_heat = false;
  double cut = network::infinite;  // |reflection| above which nothing can win

  void tighten(const Best& best) { cut = std::sqrt(best.key) + slack; }
  bool may_win(double reflection, double, const Query&) const { return !(reflection > cut); }
  static double rank(double reflection, double, const Query&) { return reflection; }
  static bool take(Best& best, double reflection2, double power, double, std::uint64_t index, const Query& q) {
    return reflection2 <= best.key && best.consider(reflection2, power * q.per_load, index);
  }
};

/// Power that enters, then |reflection|^2. Of the states within the limit.
struct Loss {
  static constexpr bool needs_heat = true;
  double limit2 = network::infinite, limit = network::infinite;  // of |reflection|
  double cut = network::infinite;

  void tighten(const Best& best) { cut = best.key * (1.0 + slack); }
  static double rank(double, double heat, const Query& q) { return q.load.r_ohm + heat * q.heat_scale; }
  bool may_win(double reflection, double heat, const Query& q) const {
    return reflection <= limit && !(rank(reflection, heat, q) > cut);
  }
  bool take(Best& best, double reflection2, double power, double, std::uint64_t index, const Query& q) const {
    return reflection2 <= limit2 && best.consider(power * q.per_load, reflection2, index);
  }
};

/// |e|^2 = 4 Re(source) power / (1 - |reflection|^2), then |reflection|^2. Of the states within the limit.
struct Delivered {
  static constexpr bool needs_heat = true;
  double limit2 = network::infinite, limit = network::infinite;
  double cut = network::infinite;

  void tighten(const Best& best) { cut = best.key * (1.0 + 4.0 * slack); }
  static double rank(double reflection, double heat, const Query& q) {
    const double less = std::clamp(reflection - slack, 0.0, 1.0 - slack);
    return 4.0 * q.r_source * (q.load.r_ohm + heat * q.heat_scale) / (1.0 - less * less);
  }
  bool may_win(double reflection, double heat, const Query& q) const {
    return reflection <= limit && !(rank(reflection, heat, q) > cut);
  }
  bool take(Best& best, double reflection2, double, double e2, std::uint64_t index, const Query&) const {
    return reflection2 <= limit2 && best.consider(e2, reflection2, index);
  }
};

/// Open subtrees, most promising on top. A node leaves at most seven behind at each level, and no tree of 2^24 states
/// has more than nine levels.
struct Open {
  std::uint32_t child = 0;
  double reflection = 0.0, heat = 0.0;
};

/// Depth first, children by rising rank.
template <class Key, class Visit>
void descend(const TreeData& data, const TreeSide& side, const Query& q, const Key& key, const Visit& visit_leaf) {
  Open stack[128];
  std::size_t depth = 0;
  stack[depth++] = {side.root, 0.0, 0.0};
  while (depth > 0) {
    const Open top = stack[--depth];
    if (!key.may_win(top.reflection, top.heat, q)) continue;
    if ((top.child & leaf_flag) != 0) {
      visit_leaf(side, &data.order[std::size_t{top.child & ~leaf_flag} * fan]);
      continue;
    }
    const TreeNode& node = data.nodes[top.child];
    double reflection[fan], heat[fan] = {};
    reflection_bounds(node, q.x, q.y, q.size, reflection);
    if constexpr (Key::needs_heat) heat_bounds(node, q.x, q.y, heat);
    double rank[fan];
    const std::size_t bottom = depth;
    for (std::size_t k = 0; k < node.children; ++k) {
      if (!key.may_win(reflection[k], heat[k], q)) continue;
      const double r = Key::rank(reflection[k], heat[k], q);
      std::size_t place = depth - bottom;
      while (place > 0 && rank[place - 1] < r) {  // the least on top
        rank[place] = rank[place - 1];
        stack[bottom + place] = stack[bottom + place - 1];
        --place;
      }
      rank[place] = r;
      stack[bottom + place] = {node.child[k], reflection[k], heat[k]};
      ++depth;
    }
  }
}

template <class Key>
void search(const TreeData& data, const Query& q, Key key, Best& best) {
  Leaf leaf;
  if (best.found) key.tighten(best);
  for (const TreeSide& side : data.sides) {
    if (side.empty) continue;
    const Plain source = detail::plain(side.arms.source);
    descend(data, side, q, key, [&](const TreeSide& of, const std::uint32_t* states) {
      load_leaf(of, states, leaf);
      walk_leaf(leaf, q.load, source);
      bool better = false;
      for (std::size_t k = 0; k < fan; ++k) {
        better = key.take(best, leaf.reflection2[k], leaf.power[k], leaf.e2[k], of.first + states[k], q) || better;
      }
      if (better) key.tighten(best);
    });
  }
}

const TreeSide& side_of(const TreeData& data, std::uint64_t index) {
  return data.sides.size() == 2 && index >= data.sides[1].first ? data.sides[1] : data.sides[0];
}

Ends ends_of(const TreeData& data, const Query& q, std::uint64_t index) {
  const TreeSide& side = side_of(data, index);
  const auto state = static_cast<std::uint32_t>(index - side.first);
  return detail::ends_at(side.arms, place_in(side, state), q.load);
}

StateScore score(const TreeData& data, const Query& q, const Best& best) {
  if (!best.found) return {TunerStatus::out_of_reach, 0, 0.0, 0.0};
  const Ends ends = ends_of(data, q, best.index);
  return {TunerStatus::found, best.index, detail::swr_of(ends, q.r_source),
          detail::dissipation_db_of(ends, q.load.r_ohm)};
}

TunerSetting setting(const TreeData& data, const Query& q, const Best& best) {
  const StateScore s = score(data, q, best);
  TunerSetting result;
  result.status = s.status;
  if (!best.found) return result;
  result.state = detail::decode_state(data.tuner, s.index);
  result.swr = s.swr;
  result.dissipation_db = s.dissipation_db;
  return result;
}

/// Searches for one load after the other; what won last is where the next search starts.
class Searcher {
public:
  Searcher(const TreeData& data, double swr_limit)
      : data_(data), limit2_(detail::reflection2_limit(swr_limit)), limit_(std::sqrt(limit2_) + slack) {}

  Best least_swr(const Query& q) { return find(q, Reflection{}, swr_); }

  Best least_loss(const Query& q) {
    // Where all losses tie the SWR decides.
    if (data_.lossless || q.per_load == 0.0) return within(least_swr(q));
    return find(q, Loss{limit2_, limit_}, loss_);
  }

  Best most_delivered(const Query& q) {
    const Best best = find(q, Delivered{limit2_, limit_}, delivered_);
    return best.found ? best : find(q, Delivered{}, delivered_);
  }

private:
  /// The last winners of one goal. A limit's edge moves with the load, so the very last one may just have left.
  struct Recent {
    std::array<std::uint64_t, 8> index{};
    std::size_t count = 0, next = 0;

    void keep(std::uint64_t won) {
      if (std::find(index.begin(), index.begin() + static_cast<std::ptrdiff_t>(count), won) !=
          index.begin() + static_cast<std::ptrdiff_t>(count)) {
        return;
      }
      index[next] = won;
      next = (next + 1) % index.size();
      count = std::min(count + 1, index.size());
    }
  };

  Best within(Best best) const {
    // best.key is |reflection|^2 here; that of the loss is a tie.
    if (!(best.key <= limit2_)) best = {};
    return best;
  }

  template <class Key>
  Best find(const Query& q, const Key& key, Recent& recent) {
    Best best;
    for (std::size_t k = 0; k < recent.count; ++k) {
      const Ends ends = ends_of(data_, q, recent.index[k]);
      key.take(best, ends.f2 / ends.e2, ends.power, ends.e2, recent.index[k], q);
    }
    search(data_, q, key, best);
    if (best.found) recent.keep(best.index);
    return best;
  }

  const TreeData& data_;
  double limit2_, limit_;
  Recent swr_, loss_, delivered_;
};

Best goal_of(Searcher& searcher, const Query& q, Goal goal) {
  switch (goal) {
  case Goal::least_swr:
    break;
  case Goal::least_loss:
    return searcher.least_loss(q);
  case Goal::most_delivered:
    return searcher.most_delivered(q);
  }
  return searcher.least_swr(q);
}

/// Place on a curve that keeps neighbours together: ln |Z| and asinh(X/R), bits interleaved.
std::uint32_t place_of(cdouble z) {
  const double size = std::abs(z);
  const auto scaled = [](double value, double span) {
    return static_cast<std::uint32_t>(std::clamp((value / span + 1.0) * 32768.0, 0.0, 65535.0));
  };
  std::uint32_t u = scaled(size > 0.0 ? std::log(size) : -16.0, 16.0);
  std::uint32_t v = scaled(z.real() > 0.0 ? std::asinh(z.imag() / z.real()) : (z.imag() > 0.0 ? 16.0 : -16.0), 16.0);
  const auto spread = [](std::uint32_t n) {
    n = (n | n << 8) & 0x00FF00FFU;
    n = (n | n << 4) & 0x0F0F0F0FU;
    n = (n | n << 2) & 0x33333333U;
    return (n | n << 1) & 0x55555555U;
  };
  return spread(u) | spread(v) << 1;
}

/// The loads' numbers, in the low half, in the order of their places.
std::vector<std::uint64_t> along_the_curve(std::span<const cdouble> z, unsigned threads) {
  std::vector<std::uint64_t> placed(z.size()), sorted(z.size());
  in_blocks(z.size(), 16384, threads, [&](std::size_t first, std::size_t last) {
    for (std::size_t n = first; n < last; ++n) placed[n] = std::uint64_t{place_of(z[n])} << 32 | n;
  });
  constexpr std::size_t drawers = 4096;
  constexpr unsigned shift = 52;
  std::vector<std::size_t> end(drawers, 0);
  for (const std::uint64_t p : placed) ++end[p >> shift];
  std::partial_sum(end.begin(), end.end(), end.begin());
  std::vector<std::size_t> begin = end;
  for (const std::uint64_t p : placed) sorted[--begin[p >> shift]] = p;
  in_blocks(drawers, 16, threads, [&](std::size_t first, std::size_t last) {
    for (std::size_t n = first; n < last; ++n) {
      std::sort(sorted.begin() + static_cast<std::ptrdiff_t>(begin[n]),
                sorted.begin() + static_cast<std::ptrdiff_t>(end[n]));
    }
  });
  return sorted;
}

}  // namespace

TunerChoice choose_state(const TunerTree& tree, cdouble z_load_ohm, double swr_limit) {
  detail::check_load(z_load_ohm);
  detail::check_swr_limit(swr_limit);
  const TreeData& data = detail::data_of(tree);
  const Query q = query_of(data, z_load_ohm);
  Searcher searcher(data, swr_limit);
  const auto result = [&](const Best& best) { return setting(data, q, best); };
  return {result(searcher.least_swr(q)), result(searcher.least_loss(q)), result(searcher.most_delivered(q))};
}

std::vector<StateScore> choose_states(const TunerTree& tree, std::span<const cdouble> z_load_ohm, double swr_limit,
                                      Goal goal, unsigned threads) {
  detail::check_swr_limit(swr_limit);
  require(z_load_ohm.size() <= std::numeric_limits<std::uint32_t>::max(), "a batch must have fewer than 2^32 loads");
  for (const cdouble z : z_load_ohm) detail::check_load(z);
  const TreeData& data = detail::data_of(tree);
  std::vector<StateScore> scores(z_load_ohm.size());
  const std::vector<std::uint64_t> order = along_the_curve(z_load_ohm, threads);
  // Neighbouring loads follow each other: the tree's upper part stays in the cache and the last state is a good first
  // guess. Neither changes an answer.
  in_blocks(order.size(), 8192, threads, [&](std::size_t first, std::size_t last) {
    Searcher searcher(data, swr_limit);
    for (std::size_t k = first; k < last; ++k) {
      const std::size_t n = static_cast<std::uint32_t>(order[k]);
      const Query q = query_of(data, z_load_ohm[n]);
      scores[n] = score(data, q, goal_of(searcher, q, goal));
    }
  });
  return scores;
}

std::vector<std::uint64_t> detail::states_within(const TreeData& data, cdouble z_load, double swr_limit) {
  const Query q = query_of(data, z_load);
  std::vector<std::uint64_t> found;
  Leaf leaf;
  const double limit2 = reflection2_limit(swr_limit);
  Reflection within;
  within.cut = std::sqrt(limit2) + slack;
  for (const TreeSide& side : data.sides) {
    if (side.empty) continue;
    descend(data, side, q, within, [&](const TreeSide& of, const std::uint32_t* states) {
      load_leaf(of, states, leaf);
      walk_leaf(leaf, q.load, plain(of.arms.source));
      for (std::size_t k = 0; k < fan; ++k) {
        if (k > 0 && states[k] == states[k - 1]) break;  // a short leaf
        if (leaf.reflection2[k] <= limit2) found.push_back(of.first + states[k]);
      }
    });
  }
  std::sort(found.begin(), found.end());
  return found;
}

}  // namespace stile::tuner
