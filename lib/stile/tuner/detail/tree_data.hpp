#pragma once
// How a tuner's states are arranged for searching. Internal to the room.

#include <array>
#include <cstdint>
#include <vector>

#include <stile/tuner/detail/arms.hpp>
#include <stile/tuner/tree.hpp>

namespace stile::tuner::detail {

inline constexpr std::size_t fan = 8;  // children of a node, states of a leaf

/// Bounds of eight subtrees, in rows for the vectoriser. All in the reflection plane of the load against `reference`.
struct alignas(64) TreeNode {
  using Row = std::array<double, fan>;
  Row match_x{}, match_y{}, match_radius{};     // disc around Gamma_0
  Row output_x{}, output_y{}, output_radius{};  // disc around S22
  Row delta{};                                  // least |Delta|
  Row heat_x{}, heat_y{}, heat_radius{};        // disc around u
  Row heat_t{}, heat_t0{};                      // least t and t0
  std::array<std::uint32_t, fan> child{};       // a node, or a leaf | leaf_flag
  std::uint32_t children = 0;
};
inline constexpr std::uint32_t leaf_flag = std::uint32_t{1} << 31;

/// States whose capacitors are on one side; one such part for every form but a two-sided L.
struct TreeSide {
  Arms arms;
  std::uint64_t first = 0;  // index of the side's first state
  unsigned middle_bits = 0, near_bits = 0;
  std::uint32_t root = 0;
  bool empty = true;  // nothing passes in any state
};

struct TreeData {
  Tuner tuner;
  TunerTable table;
  cdouble z_source{};
  double reference = 0.0;  // ohm, real
  bool lossless = false;   // every state turns nothing to heat, exactly
  std::vector<TreeSide> sides;
  std::vector<TreeNode> nodes;
  std::vector<std::uint32_t>
      order;  // `fan` states a leaf, counted from the side's first; a short leaf repeats its last
};

/// @throws DomainError  a tree that build_tree has not made
const TreeData& data_of(const TunerTree& tree);

/// Every state within the limit, by index.
std::vector<std::uint64_t> states_within(const TreeData& data, cdouble z_load_ohm, double swr_limit);

}  // namespace stile::tuner::detail
