#pragma once
// Couplings of pairs of wires, computed when first asked for. Internal to the room.

#include <array>
#include <cstdint>
#include <list>
#include <map>
#include <memory>
#include <mutex>
#include <vector>

#include <stile/wire/detail/ground_model.hpp>
#include <stile/wire/detail/kernel.hpp>

namespace stile::wire::detail {

/// The cells of one wire, and a number that is the same for the same bits.
struct WireCells {
  std::vector<LineCell> cells;
  std::uint64_t hash = 0;
};
WireCells wire_cells(std::vector<LineCell> cells);

/// What the cells of two wires do to each other. Of a wire with itself only source >= test.
class CouplingBlock {
public:
  CouplingBlock(const WireCells& test, const WireCells& source, const GroundModel& ground, double k_rad_m);
  const CellCoupling& at(std::size_t test, std::size_t source) const {
    return all_[test * source_.cells.size() + source];
  }
  bool of(const WireCells& test, const WireCells& source) const;
  std::size_t bytes() const;

private:
  WireCells test_, source_;
  std::vector<CellCoupling> all_;
};

class CouplingStore {
public:
  explicit CouplingStore(std::size_t most_bytes) : most_bytes_(most_bytes) {}
  std::shared_ptr<const CouplingBlock> block(const WireCells& test, const WireCells& source, const GroundModel& ground,
                                             double k_rad_m);
  std::size_t bytes() const;

private:
  using Key = std::array<std::uint64_t, 9>;  // ground and frequency, the two wires
  struct Entry {
    Key key;
    std::shared_ptr<const CouplingBlock> block;
  };
  std::shared_ptr<const CouplingBlock> kept(const Key& key);

  std::size_t most_bytes_, bytes_ = 0;
  mutable std::mutex choosing_;
  std::list<Entry> entries_;  // asked for last first
  std::map<Key, std::list<Entry>::iterator> places_;
};

}  // namespace stile::wire::detail
