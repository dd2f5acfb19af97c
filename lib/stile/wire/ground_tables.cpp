#include <stile/wire/ground_tables.hpp>

#include <array>
#include <map>
#include <mutex>

#include <stile/wire/detail/ground_table.hpp>

namespace stile::wire {

struct GroundTables::Kept {
  std::mutex choosing;
  std::map<std::array<double, 3>, std::shared_ptr<const detail::GroundTable>> tables;  // by wave number, permittivity
};

GroundTables::GroundTables() : kept_(std::make_unique<Kept>()) {}
GroundTables::~GroundTables() = default;

std::size_t GroundTables::size() const {
  const std::lock_guard lock(kept_->choosing);
  return kept_->tables.size();
}

std::shared_ptr<const detail::GroundTable> GroundTables::table(const detail::HalfSpace& ground) {
  const std::lock_guard lock(kept_->choosing);
  auto& table = kept_->tables[{ground.k0_rad_m, ground.permittivity.real(), ground.permittivity.imag()}];
  if (!table) table = std::make_shared<const detail::GroundTable>(ground);
  return table;
}

}  // namespace stile::wire
