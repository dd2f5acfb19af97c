#include "plan/far_end.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/core.h>

#include <stile/plan/compared.hpp>

#include "cli/table.hpp"
#include "plan/words.hpp"

namespace stile::tools {
namespace {

/// "12.3 dB, 2.1 S".
std::string weaker(double value_db) {
  return std::isfinite(value_db) ? fmt::format("{} dB, {:.1f} S", db(value_db), plan::s_units(value_db)) : "not heard";
}

/// "12.3 dB (10.1..15.0), 2.1 S"; without brackets where nothing is open.
std::string weaker(double value_db, const Range& range_db) {
  if (!std::isfinite(value_db) || db(range_db.low) == db(range_db.high)) return weaker(value_db);
  return fmt::format("{} dB ({}..{}), {:.1f} S", db(value_db), db(range_db.low), db(range_db.high),
                     plan::s_units(value_db));
}

std::string percent(double share) { return fmt::format("{:.0f} %", 100.0 * share); }

}  // namespace

const plan::FarEnd& far_end_of(const Answers& answers, std::size_t band, std::size_t arrangement) {
  return answers.far_ends.at(band * answers.station.arrangements.size() + arrangement);
}

std::vector<std::string> far_end_notes(const Answers& answers) {
  std::vector<std::string> notes{
      "How much weaker each arrangement is in its worst condition than the best of its band (in brackets wherever "
      "uncertain inputs lie: ground, lengths, hand and temperature the same for both, Q and contacts each its own), "
      "and, as stated, than a full-size quarter wave with four radials at the same height over the same ground, "
      "without loss in its match; 6 dB are an S unit. What is below zero is stronger."};
  const auto apart = [&](const plan::BandResult& band) {
    return plan::comparable_groups(answers.station, band.counted).size() > 1;
  };
  if (std::any_of(answers.plan.bands.begin(), answers.plan.bands.end(), apart))
    notes.push_back(
        "Where power into the antenna counts, the best is that on the same antenna: antennas cannot be compared.");
  if (const auto& contacts = answers.station.contacts; contacts)
    notes.push_back(
        fmt::format("Contacts: a usual one has {:.3g} dB to spare with the best (stated), spread by {:.3g} dB from one "
                    "to the next (8 dB, from memory, unless stated). Failed: Phi((loss - margin)/sigma); lost: of "
                    "those that the best would have made. A "
                    "model, no forecast of propagation.",
                    contacts->margin_db, contacts->sigma_db));
  return notes;
}

std::vector<std::vector<std::string>> far_end_rows(const Answers& answers) {
  std::vector<std::vector<std::string>> rows{{"", "than the best", "than a quarter wave"}};
  if (answers.station.contacts) rows.front().insert(rows.front().end(), {"failed", "lost"});
  for (std::size_t b = 0; b < answers.plan.bands.size(); ++b) {
    for (std::size_t n = 0; n < answers.station.arrangements.size(); ++n) {
      const plan::FarEnd& end = far_end_of(answers, b, n);
      rows.push_back({answers.plan.bands[b].band.name + ", " + answers.station.arrangements[n].name,
                      weaker(end.against_best_db, end.against_best_range_db),
                      end.against_quarter_wave_db ? weaker(*end.against_quarter_wave_db) : "not known"});
      if (end.contacts_failed)
        rows.back().insert(rows.back().end(), {percent(*end.contacts_failed), percent(*end.contacts_lost)});
    }
  }
  return rows;
}

std::string far_end_text(const Answers& answers) {
  std::string text = "At the other end\n";
  for (const std::string& note : far_end_notes(answers)) text += wrapped(note, 0, 110);
  return text + aligned(far_end_rows(answers)) + "\n";
}

std::string contacts_csv(const station::Station& station) {
  if (!station.contacts) return "";
  return fmt::format("# contacts: {} dB to spare, spread by {} dB\n", station.contacts->margin_db,
                     station.contacts->sigma_db);
}

}  // namespace stile::tools
