#pragma once
// Wires cut into cells, and the current functions on them. Internal to the room.

#include <cstddef>
#include <vector>

#include <stile/wire/geometry.hpp>

namespace stile::wire::detail {

struct Cell {
  std::size_t wire;
  Vec3 start;
  Vec3 direction;  ///< of length 1
  double length_m;
  double radius_m;
  double distance_m;  ///< of the start from the wire's first point
  double feed_v_m;    ///< field of a feed voltage of 1 V along the cell's direction
  int coil;           ///< index of the coil spread over this cell, -1: none
};

/// Linear function on one cell: 1 at its start (end = 0) or end (end = 1), 0 at the other.
struct HalfFunction {
  std::size_t cell;
  int end;
  double sign;  ///< +1: positive coefficient means current along the cell's direction
};

/// Current that flows through a node from one cell into another, or from perfect ground into a cell.
struct CurrentFunction {
  std::vector<HalfFunction> halves;  ///< one or two
  int point_coil;                    ///< index of the coil at this node, -1: none
};

/// A lump in series with one end of a cell; at the feed, in series with the terminals.
struct LumpPlace {
  std::size_t lump;  ///< index into Antenna::lumps
  std::size_t cell;
  int end;
  int at_feed;  ///< 1: on the fed wire, -1: on the only other one, running away from the feed; cell and end then mean
                ///< nothing. 0: elsewhere
};

struct Mesh {
  std::vector<Cell> cells;
  std::vector<CurrentFunction> functions;
  std::vector<LumpPlace> lumps;  ///< one for each of the antenna's, in their order
};

/// What each current function adds to the current of a lump, for a coefficient of 1; mostly zeros.
std::vector<double> lump_weights(const Mesh& mesh, const LumpPlace& place);

/// The same of the current at the feed: the mean over the gap.
std::vector<double> feed_weights(const Mesh& mesh);

/// Cuts a checked antenna into cells: the gap and every coil are cells of their own, cells grow from there, from free
/// ends and from bends up to a limit set by wavelength and length; below a wavelength of 20 m finer beside a person.
///
/// @throws DomainError  more than max_unknowns functions
Mesh make_mesh(const Antenna& antenna, const Ground& ground, double frequency_hz, double fineness,
               std::size_t max_unknowns);

}  // namespace stile::wire::detail
