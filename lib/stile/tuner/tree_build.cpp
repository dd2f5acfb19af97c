#include <algorithm>
#include <bit>
#include <cmath>
#include <numeric>
#include <utility>

#include <stile/base/errors.hpp>
#include <stile/tuner/detail/tree_data.hpp>

namespace stile::tuner {
namespace detail {
namespace {

/// What a state looks like from the load.
struct Traits {
  cdouble match, output, heat;  // Gamma_0, S22, u
  double delta = 0.0, heat_t = 0.0, heat_t0 = 0.0;
};

Traits traits_of(const Arms& arms, std::size_t middle, std::size_t near, std::size_t far, double reference) {
  // Linear forms of the load's reflection, p + m Gamma, once multiplied by 1 - Gamma.
  const Linear z{reference, reference}, one{1.0, -1.0};
  const cdouble m{arms.middle_re[middle], arms.middle_im[middle]}, n = arms.near[near], f = arms.far[far];
  const WalkPoint<Linear> load = arms.dual ? WalkPoint<Linear>{one, z} : WalkPoint<Linear>{z, one};
  const WalkPoint<Linear> entered = pass_end(load, f), between = pass_middle(entered, m), out = pass_end(between, n);
  const Linear waves = forward(out, arms.source), returned = back(out, arms.source);

  Traits traits;
  traits.output = -waves.m / waves.p;
  constexpr double far_away = 1e12;  // a state that hides the load has Gamma_0 nowhere
  if (std::abs(returned.p) < far_away * std::abs(returned.m)) {
    traits.match = -returned.p / returned.m;
    traits.delta = std::abs(returned.m / waves.p);
  } else {
    traits.match = far_away;
    traits.delta = std::abs(returned.p / waves.p) / far_away;
  }
  double t = 0.0, all = 0.0;
  cdouble cross = 0.0;
  const auto heats = [&](double r, const Linear& x) {
    t += r * std::norm(x.m);
    all += r * std::norm(x.p);
    cross += r * x.p * std::conj(x.m);
  };
  heats(f.real(), load.a);
  heats(m.real(), entered.b);
  heats(n.real(), between.a);
  traits.heat_t = t;
  if (t > 0.0) traits.heat = cross / t;
  // What rounding may have added to the difference is taken off, so that the bound stays one.
  traits.heat_t0 = std::max(0.0, all - t * std::norm(traits.heat) - 1e-13 * (all + t * std::norm(traits.heat)));
  return traits;
}

bool usable(const Traits& t) {
  return network::finite(t.match) && network::finite(t.output) && network::finite(t.heat) && std::isfinite(t.delta) &&
         std::isfinite(t.heat_t) && std::isfinite(t.heat_t0);
}

class Builder {
public:
  Builder(TreeData& data, TreeSide& side) : data_(data), side_(side) {
    const std::size_t states = side.arms.middle_re.size() * side.arms.near.size() * side.arms.far.size();
    traits_.resize(states);
    std::vector<std::uint32_t> passing;
    passing.reserve(states);
    const std::size_t middles = side.arms.middle_re.size(), nears = side.arms.near.size();
    for (std::size_t n = 0; n < states; ++n) {
      traits_[n] = traits_of(side.arms, n % middles, n / middles % nears, n / middles / nears, data.reference);
      if (usable(traits_[n])) passing.push_back(static_cast<std::uint32_t>(n));
    }
    side_.empty = passing.empty();
    if (!side_.empty) side_.root = build(passing.data(), passing.data() + passing.size());
  }

private:
  using Iterator = std::uint32_t*;

  std::uint32_t build(Iterator first, Iterator last) {
    const auto count = static_cast<std::size_t>(last - first);
    if (count <= fan) {
      const auto leaf = static_cast<std::uint32_t>(data_.order.size() / fan);
      std::sort(first, last);
      for (std::size_t k = 0; k < fan; ++k) data_.order.push_back(first[std::min(k, count - 1)]);
      return leaf | leaf_flag;
    }
    // The top node takes what is left over of a whole number of levels, so that all the others have eight children.
    const unsigned halvings = static_cast<unsigned>(std::bit_width((count - 1) / fan));
    const unsigned rounds = halvings % 3 == 0 ? 3 : halvings % 3;
    const auto at = static_cast<std::uint32_t>(data_.nodes.size());
    data_.nodes.emplace_back();
    std::vector<std::pair<Iterator, Iterator>> groups{{first, last}};
    for (unsigned round = 0; round < rounds; ++round) {  // halved three times: at most `fan` groups
      std::vector<std::pair<Iterator, Iterator>> halves;
      for (const auto& [from, to] : groups) {
        const auto size = static_cast<std::size_t>(to - from);
        if (size <= fan) {
          halves.emplace_back(from, to);
          continue;
        }
        // Halves in whole powers of two, so that the leaves come out full.
        const std::size_t half = std::bit_ceil(size) / 2;
        split(from, from + half, to);
        halves.emplace_back(from, from + half);
        halves.emplace_back(from + half, to);
      }
      groups = std::move(halves);
    }
    for (std::size_t k = 0; k < groups.size(); ++k) {
      const std::uint32_t child = build(groups[k].first, groups[k].second);
      TreeNode& node = data_.nodes[at];  // the vector may have moved
      enclose(node, k, groups[k].first, groups[k].second);
      node.child[k] = child;
    }
    data_.nodes[at].children = static_cast<std::uint32_t>(groups.size());
    return at;
  }

  /// Puts the states that lie lowest along the widest direction in front. What counts is distance on the disc of
  /// passive loads, where a step near the rim is a large one; so the group is first carried to the disc's middle.
  void split(Iterator first, Iterator middle, Iterator last) {
    cdouble centre = 0.0;
    for (Iterator s = first; s != last; ++s) centre += within(traits_[*s].match);
    centre /= static_cast<double>(last - first);
    std::array<double, 4> sum{}, square{};
    for (Iterator s = first; s != last; ++s) {
      const std::array<double, 4> x = moved(traits_[*s], centre);
      for (std::size_t k = 0; k < 4; ++k) sum[k] += x[k], square[k] += x[k] * x[k];
    }
    std::size_t widest = 0;
    double most = -1.0;
    for (std::size_t k = 0; k < 4; ++k) {
      const double spread = square[k] - sum[k] * sum[k] / static_cast<double>(last - first);
      if (spread > most) most = spread, widest = k;
    }
    keys_.clear();
    for (Iterator s = first; s != last; ++s) keys_.emplace_back(moved(traits_[*s], centre)[widest], *s);
    std::nth_element(keys_.begin(), keys_.begin() + (middle - first), keys_.end());
    for (std::size_t k = 0; k < keys_.size(); ++k) first[k] = keys_[k].second;
  }

  static cdouble within(cdouble gamma) {
    const double size = std::abs(gamma);
    constexpr double rim = 0.9999999;
    return size > rim ? gamma * (rim / size) : gamma;
  }

  static std::array<double, 4> moved(const Traits& t, cdouble centre) {
    const auto move = [&](cdouble gamma) { return (gamma - centre) / (1.0 - std::conj(centre) * gamma); };
    const cdouble match = move(within(t.match)), output = move(within(std::conj(t.output)));
    return {match.real(), match.imag(), output.real(), output.imag()};
  }

  struct Disc {
    double x = 0.0, y = 0.0, radius = 0.0;
  };

  Disc disc(Iterator first, Iterator last, cdouble Traits::*member) const {
    double low_x = network::infinite, high_x = -network::infinite, low_y = network::infinite,
           high_y = -network::infinite, radius = 0.0;
    for (Iterator s = first; s != last; ++s) {
      const cdouble z = traits_[*s].*member;
      low_x = std::min(low_x, z.real());
      high_x = std::max(high_x, z.real());
      low_y = std::min(low_y, z.imag());
      high_y = std::max(high_y, z.imag());
    }
    const cdouble centre{0.5 * (low_x + high_x), 0.5 * (low_y + high_y)};
    for (Iterator s = first; s != last; ++s) radius = std::max(radius, std::abs(traits_[*s].*member - centre));
    return {centre.real(), centre.imag(), radius * (1.0 + 1e-12)};
  }

  double least(Iterator first, Iterator last, double Traits::*member) const {
    double value = network::infinite;
    for (Iterator s = first; s != last; ++s) value = std::min(value, traits_[*s].*member);
    return value;
  }

  void enclose(TreeNode& node, std::size_t k, Iterator first, Iterator last) const {
    const Disc match = disc(first, last, &Traits::match), output = disc(first, last, &Traits::output),
               heat = disc(first, last, &Traits::heat);
    node.match_x[k] = match.x, node.match_y[k] = match.y, node.match_radius[k] = match.radius;
    node.output_x[k] = output.x, node.output_y[k] = output.y, node.output_radius[k] = output.radius;
    node.heat_x[k] = heat.x, node.heat_y[k] = heat.y, node.heat_radius[k] = heat.radius;
    node.delta[k] = least(first, last, &Traits::delta) * (1.0 - 1e-12);
    node.heat_t[k] = least(first, last, &Traits::heat_t) * (1.0 - 1e-12);
    node.heat_t0[k] = least(first, last, &Traits::heat_t0);
  }

  TreeData& data_;
  TreeSide& side_;
  std::vector<Traits> traits_;
  std::vector<std::pair<double, std::uint32_t>> keys_;
};

bool no_loss(const Arms& arms) {
  const auto none = [](const std::vector<cdouble>& values) {
    return std::all_of(values.begin(), values.end(), [](cdouble v) { return v.real() == 0.0 || std::isnan(v.real()); });
  };
  return none(arms.near) && none(arms.far) &&
         std::all_of(arms.middle_re.begin(), arms.middle_re.end(), [](double r) { return r == 0.0 || std::isnan(r); });
}

unsigned bits(std::size_t power_of_two) { return static_cast<unsigned>(std::countr_zero(power_of_two)); }

}  // namespace
}  // namespace detail

TunerTree build_tree(const Tuner& tuner, const TunerTable& table, cdouble z_source_ohm) {
  detail::check_search(tuner, table, z_source_ohm);
  auto data = std::make_shared<detail::TreeData>();
  data->tuner = tuner;
  data->table = table;
  data->z_source = z_source_ohm;
  data->reference = std::abs(z_source_ohm);
  data->lossless = true;
  const std::uint64_t states = state_count(tuner);
  data->order.reserve(states + states / 8);
  data->nodes.reserve(states / 32 + 1);
  std::uint64_t first = 0;
  const auto add = [&](CapacitorSide which) {
    detail::TreeSide side;
    side.arms = detail::arms_of(tuner, table, which, z_source_ohm);
    side.first = first;
    side.middle_bits = detail::bits(side.arms.middle_re.size());
    side.near_bits = detail::bits(side.arms.near.size());
    first += std::uint64_t{1} << (side.middle_bits + side.near_bits + detail::bits(side.arms.far.size()));
    data->lossless = data->lossless && detail::no_loss(side.arms);
    const detail::Builder build(*data, side);
    data->sides.push_back(std::move(side));
  };
  if (tuner.form != TunerForm::l || tuner.capacitor_at_transmitter) add(CapacitorSide::transmitter);
  if (tuner.form == TunerForm::l && tuner.capacitor_at_load) add(CapacitorSide::load);
  data->nodes.shrink_to_fit();
  data->order.shrink_to_fit();
  return {std::move(data)};
}

const detail::TreeData& detail::data_of(const TunerTree& tree) {
  require(tree.data != nullptr, "the tree holds no tuner: make it with build_tree");
  return *tree.data;
}

const Tuner& tree_tuner(const TunerTree& tree) { return detail::data_of(tree).tuner; }
const TunerTable& tree_table(const TunerTree& tree) { return detail::data_of(tree).table; }
cdouble tree_source_ohm(const TunerTree& tree) { return detail::data_of(tree).z_source; }

std::size_t tree_bytes(const TunerTree& tree) {
  const detail::TreeData& data = detail::data_of(tree);
  std::size_t bytes =
      sizeof(data) + data.nodes.capacity() * sizeof(detail::TreeNode) + data.order.capacity() * sizeof(std::uint32_t);
  const auto table = [](const TunerTable& t) {
    return (t.inductor_z_ohm.capacity() + t.capacitor_y_siemens.capacity() + t.load_capacitor_y_siemens.capacity() +
            t.load_inductor_z_ohm.capacity()) *
           sizeof(cdouble);
  };
  bytes += table(data.table);
  for (const detail::TreeSide& side : data.sides) {
    bytes += sizeof(side) + (side.arms.middle_re.capacity() + side.arms.middle_im.capacity()) * sizeof(double) +
             (side.arms.near.capacity() + side.arms.far.capacity()) * sizeof(cdouble);
  }
  return bytes;
}

}  // namespace stile::tuner
