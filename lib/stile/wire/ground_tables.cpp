#include <stile/wire/ground_tables.hpp>

#include <algorithm>
#include <array>
#include <map>
#include <mutex>

#include <stile/wire/detail/ground_table.hpp>

namespace stile::wire {

struct GroundTables::Kept {
  struct Entry {
    std::shared_ptr<const detail::GroundTable> table;
    std::size_t asked = 0;
  };
  std::mutex choosing;
  std::map<std::array<double, 3>, Entry> tables;  // by wave number, permittivity
  std::size_t asked = 0;
};

GroundTables::GroundTables() : kept_(std::make_unique<Kept>()) {}
GroundTables::~GroundTables() = default;

std::size_t GroundTables::size() const {
  const std::lock_guard lock(kept_->choosing);
  return kept_->tables.size();
}

std::shared_ptr<const detail::GroundTable> GroundTables::table(const detail::HalfSpace& ground) {
  const std::lock_guard lock(kept_->choosing);
  auto& tables = kept_->tables;
  auto& entry = tables[{ground.k0_rad_m, ground.permittivity.real(), ground.permittivity.imag()}];
  entry.asked = ++kept_->asked;
  if (!entry.table) entry.table = std::make_shared<const detail::GroundTable>(ground);
  if (tables.size() > most_ground_tables) {
    tables.erase(std::min_element(tables.begin(), tables.end(),
                                  [](const auto& a, const auto& b) { return a.second.asked < b.second.asked; }));
  }
  return entry.table;
}

}  // namespace stile::wire
