#include <stile/plan/far_end.hpp>

#include <cmath>

#include <fmt/core.h>

#include <stile/base/errors.hpp>

namespace stile::plan {
namespace {

constexpr double s9_dbm = -73.0, db_a_unit = 6.0;

void check(double loss_db, const ContactMargin& contacts) {
  if (!(loss_db >= 0.0)) throw DomainError(fmt::format("a loss must be >= 0 dB, not {:.4g}", loss_db));
  if (!std::isfinite(contacts.margin_db))
    throw DomainError(fmt::format("the margin of contacts must be finite, not {:.4g} dB", contacts.margin_db));
  if (!(std::isfinite(contacts.sigma_db) && contacts.sigma_db > 0.0))
    throw DomainError(fmt::format("the spread of contacts must be finite and > 0 dB, not {:.4g}", contacts.sigma_db));
}

// Phi(b) - Phi(a), a <= b: on the side where both tails are small, so that nothing cancels.
double normal_between(double a, double b) {
  const double root2 = std::sqrt(2.0);
  if (a > 0.0) return 0.5 * (std::erfc(a / root2) - std::erfc(b / root2));
  return 0.5 * (std::erfc(-b / root2) - std::erfc(-a / root2));
}

double normal(double x) { return 0.5 * std::erfc(-x / std::sqrt(2.0)); }

}  // namespace

double s_reading(double level_dbm) {
  if (!std::isfinite(level_dbm)) throw DomainError(fmt::format("a level must be finite, not {} dBm", level_dbm));
  return 9.0 + (level_dbm - s9_dbm) / db_a_unit;
}

double contacts_failed(double loss_db, const ContactMargin& contacts) {
  check(loss_db, contacts);
  return normal((loss_db - contacts.margin_db) / contacts.sigma_db);
}

double contacts_lost(double loss_db, const ContactMargin& contacts) {
  check(loss_db, contacts);
  const double margin = contacts.margin_db / contacts.sigma_db;
  const double made = normal(margin);
  require(made > 0.0, "with such a margin no contact is made at all");
  return normal_between(-margin, loss_db / contacts.sigma_db - margin) / made;
}

}  // namespace stile::plan
