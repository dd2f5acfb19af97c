#include <stile/wire/detail/coupling_store.hpp>

#include <algorithm>
#include <bit>

#include <stile/wire/detail/matrix.hpp>

namespace stile::wire::detail {

namespace {

using Bits = std::array<std::uint64_t, 8>;

Bits bits_of(const LineCell& c) {
  return std::bit_cast<Bits>(std::array<double, 8>{c.start.x_m, c.start.y_m, c.start.z_m, c.direction.x_m,
                                                   c.direction.y_m, c.direction.z_m, c.length_m, c.radius_m});
}

bool same(const WireCells& a, const WireCells& b) {
  return a.hash == b.hash && a.cells.size() == b.cells.size() &&
         std::equal(a.cells.begin(), a.cells.end(), b.cells.begin(),
                    [](const LineCell& x, const LineCell& y) { return bits_of(x) == bits_of(y); });
}

}  // namespace

WireCells wire_cells(std::vector<LineCell> cells) {
  WireCells wire{std::move(cells), 0xcbf29ce484222325U};
  for (const LineCell& c : wire.cells) {  // Fowler, Noll and Vo's, by words and shaken
    for (const std::uint64_t word : bits_of(c)) {
      wire.hash = (wire.hash ^ word) * 0x100000001b3U;
      wire.hash ^= wire.hash >> 32;
    }
  }
  return wire;
}

CouplingBlock::CouplingBlock(const WireCells& test, const WireCells& source, const GroundModel& ground, double k_rad_m)
    : test_(test), source_(source), all_(test.cells.size() * source.cells.size()) {
  const bool itself = same(test, source);
  for (std::size_t p = 0; p < test.cells.size(); ++p) {
    for (std::size_t q = itself ? p : 0; q < source.cells.size(); ++q)
      all_[p * source.cells.size() + q] = couple(test.cells[p], source.cells[q], ground, k_rad_m);
  }
}

bool CouplingBlock::of(const WireCells& test, const WireCells& source) const {
  return same(test, test_) && same(source, source_);
}

std::size_t CouplingBlock::bytes() const {
  constexpr std::size_t place = 512;  // of the block itself and of what finds it
  return place + all_.size() * sizeof(CellCoupling) + (test_.cells.size() + source_.cells.size()) * sizeof(LineCell);
}

std::size_t CouplingStore::bytes() const {
  const std::lock_guard lock(choosing_);
  return bytes_;
}

std::shared_ptr<const CouplingBlock> CouplingStore::kept(const Key& key) {
  const std::lock_guard lock(choosing_);
  const auto place = places_.find(key);
  if (place == places_.end()) return nullptr;
  entries_.splice(entries_.begin(), entries_, place->second);
  return place->second->block;
}

std::shared_ptr<const CouplingBlock> CouplingStore::block(const WireCells& test, const WireCells& source,
                                                          const GroundModel& ground, double k_rad_m) {
  const auto bits = [](double value) { return std::bit_cast<std::uint64_t>(value); };
  const Key key{bits(k_rad_m),
                bits(ground.permittivity.real()),
                bits(ground.permittivity.imag()),
                bits(ground.image_xx.real()),
                bits(ground.image_zz.real()),
                bits(ground.image_zz.imag()),
                ground.present ? 1U : 0U,
                test.hash,
                source.hash};
  if (auto known = kept(key)) {
    if (known->of(test, source)) return known;
    return std::make_shared<const CouplingBlock>(test, source, ground, k_rad_m);  // others of the same hash stay
  }
  auto made = std::make_shared<const CouplingBlock>(test, source, ground, k_rad_m);
  const std::lock_guard lock(choosing_);
  if (made->bytes() > most_bytes_ || places_.count(key) != 0) return made;
  entries_.push_front({key, made});
  places_.emplace(key, entries_.begin());
  bytes_ += made->bytes();
  while (bytes_ > most_bytes_) {
    bytes_ -= entries_.back().block->bytes();
    places_.erase(entries_.back().key);
    entries_.pop_back();
  }
  return made;
}

}  // namespace stile::wire::detail
