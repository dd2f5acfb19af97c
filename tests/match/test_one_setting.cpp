#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <optional>
#include <random>
#include <string>

#include <stile/base/errors.hpp>
#include <stile/match/one_setting.hpp>

using namespace stile;
using namespace stile::match;
using network::Place;

namespace {

constexpr double swr_slack = 1.0 + 2e-12;  // an SWR is within its limit to 1e-12

double two_pi_f(double frequency_hz) { return 2.0 * std::acos(-1.0) * frequency_hz; }

double to_db(double share) { return share > 0.0 ? -10.0 * std::log10(share) : network::infinite; }

/// Least share of the full power and worst SWR of a setting in one condition, by evaluating the whole ladder.
struct Judged {
  double share = network::infinite, swr = 1.0;
};

Judged judge(const SettingSpace& space, const SettingJob& job, const std::vector<Choice>& parts,
             const ServedLoad& load) {
  Judged judged;
  for (std::size_t f = 0; f < space.frequency_hz.size(); ++f) {
    network::Ladder ladder = job.before;
    for (const Choice& part : parts) {
      if (!part.element) continue;
      network::Element element = *part.element;
      if (!part.z_ohm.empty()) element.part = network::FixedImpedance{part.z_ohm[f]};
      ladder.elements.push_back(element);
    }
    ladder.elements.insert(ladder.elements.end(), job.after.elements.begin(), job.after.elements.end());
    const network::Evaluation e = network::evaluate(ladder, job.source, space.frequency_hz[f], load.z_ohm[f]);
    const double share = load.radiated_share.empty() ? 1.0 : load.radiated_share[f];
    const double offered = network::power_at_swr(job.source.power_w, job.foldback, e.swr);
    judged.share =
        std::min(judged.share, share * e.power.delivered_w / e.power.available_w * offered / job.source.power_w);
    judged.swr = std::max(judged.swr, e.swr);
  }
  return judged;
}

/// Every combination of choices of a circuit.
void for_each_setting(const SettingSpace& space, const std::vector<Slot>& slots,
                      const std::function<void(const std::vector<Choice>&)>& visit) {
  std::vector<Choice> parts;
  const std::function<void()> next = [&]() {
    if (parts.size() == slots.size()) return visit(parts);
    const Slot& slot = slots[parts.size()];
    for (Choice choice : space.lists[slot.list].choices) {
      if (choice.element) choice.element->place = slot.place;
      parts.push_back(choice);
      next();
      parts.pop_back();
    }
  };
  next();
}

struct Best {
  bool holds = false;
  double share = -1.0;
  bool better_than(const Best& other) const { return holds != other.holds ? holds : share > other.share; }
};

/// What stays when a hand moves, as text.
std::string stays(const std::vector<Choice>& parts, Moves moves) {
  std::string text;
  for (const Choice& c : parts) {
    text += std::to_string(c.part) + "/";
    if (moves != Moves::tap && moves != Moves::tap_and_trimmer) text += std::to_string(c.tap);
    text += "/";
    if (moves != Moves::trimmer && moves != Moves::tap_and_trimmer) text += std::to_string(c.trimmer);
    text += " ";
  }
  return text;
}

/// The plain loop: every setting in every condition, nothing left out.
struct PlainAnswer {
  Best best;
  Best ignoring_swr;  // of one setting for all
};
PlainAnswer plain_loop(const SettingSpace& space, const SettingJob& job) {
  PlainAnswer answer;
  // For each set of parts that stay: what each normal condition gets.
  std::vector<std::pair<std::string, std::vector<Best>>> families;
  std::map<std::string, std::size_t> known;
  for (std::size_t c = 0; c < space.circuits.size(); ++c) {
    for_each_setting(space, space.circuits[c], [&](const std::vector<Choice>& parts) {
      const std::string key =
          space.moves == Moves::each_condition ? "" : std::to_string(c) + ": " + stays(parts, space.moves);
      const auto [place, fresh] = known.try_emplace(key, families.size());
      if (fresh) families.push_back({key, std::vector<Best>(job.loads.size())});
      Best all{true, network::infinite};
      for (std::size_t n = 0; n < job.loads.size(); ++n) {
        if (!job.loads[n].normal) continue;
        const Judged j = judge(space, job, parts, job.loads[n]);
        const Best here{j.swr <= job.swr_limit * swr_slack, j.share};
        Best& best = families[place->second].second[n];
        if (here.better_than(best)) best = here;
        all.holds = all.holds && here.holds;
        all.share = std::min(all.share, here.share);
      }
      if (all.share > answer.ignoring_swr.share) answer.ignoring_swr = all;
    });
  }
  for (const auto& [key, conditions] : families) {
    Best all{true, network::infinite};
    for (std::size_t n = 0; n < job.loads.size(); ++n) {
      if (!job.loads[n].normal) continue;
      all.holds = all.holds && conditions[n].holds;
      all.share = std::min(all.share, conditions[n].share);
    }
    if (all.better_than(answer.best)) answer.best = all;
  }
  return answer;
}

class Random {
public:
  explicit Random(std::uint64_t seed) : generator_(seed) {}
  double real(double low, double high) {
    return low + (high - low) * std::ldexp(static_cast<double>(generator_() >> 11), -53);
  }
  double ratio(double low, double high) { return std::exp(real(std::log(low), std::log(high))); }
  std::size_t count(std::size_t low, std::size_t high) { return low + generator_() % (high - low + 1); }
  bool yes(double share) { return real(0.0, 1.0) < share; }

private:
  std::mt19937_64 generator_;
};

/// A job around one antenna (invented): conditions wander about a middle.
struct Case {
  SettingSpace space;
  SettingJob job;
};

Case random_case(Random& random, bool foldback) {
  Case c;
  const double middle_hz = random.ratio(3.5e6, 29e6);
  const std::size_t frequencies = random.count(1, 3);
  for (std::size_t f = 0; f < frequencies; ++f)
    c.space.frequency_hz.push_back(middle_hz * (1.0 + 0.002 * static_cast<double>(f)));
  PartSteps steps;
  steps.stock.inductor_loss.q = random.ratio(60.0, 400.0);
  steps.stock.capacitor_loss.q = random.ratio(300.0, 2000.0);
  steps.inductor_series = random.yes(0.5) ? ESeries::e6 : ESeries::e12;
  steps.capacitor_series = ESeries::e6;
  // A window of values about what matters, so that the plain loop ends.
  const double w = two_pi_f(middle_hz);
  steps.stock.least_inductance_h = 8.0 / w, steps.stock.most_inductance_h = 1500.0 / w;
  steps.stock.least_capacitance_f = 1.0 / (1500.0 * w), steps.stock.most_capacitance_f = 1.0 / (8.0 * w);
  c.space = l_network_space(c.space.frequency_hz, steps);

  SettingJob& job = c.job;
  job.source = {cdouble{50.0, random.yes(0.3) ? random.real(-20.0, 20.0) : 0.0}, random.ratio(1.0, 10.0)};
  job.swr_limit = random.real(1.5, 3.0);
  if (foldback) {
    const double p = job.source.power_w;
    job.foldback = {{random.real(1.2, 2.0), p}, {random.real(2.5, 3.5), 0.5 * p}, {random.real(4.0, 8.0), 0.1 * p}};
  }
  if (random.yes(0.3))
    job.before.elements.push_back({"", Place::cascade, network::TransmissionLine{network::cable("RG-174"), 0.8}, {}});
  if (random.yes(0.3))
    job.after.elements.push_back({"", Place::cascade, network::Transformer{random.ratio(0.3, 3.0)}, {}});
  const double r = random.ratio(5.0, 200.0), x = random.real(-600.0, 100.0), wander = random.ratio(0.03, 0.3);
  const std::size_t conditions = random.count(2, 5);
  for (std::size_t n = 0; n < conditions; ++n) {
    ServedLoad load;
    load.condition = std::to_string(n);
    load.normal = n == 0 || !random.yes(0.15);
    const double rn = r * std::exp(random.real(-wander, wander)), xn = x + wander * random.real(-200.0, 200.0);
    const double share = random.yes(0.8) ? random.ratio(0.02, 1.0) : 0.0;  // 0: not stated
    for (std::size_t f = 0; f < frequencies; ++f) {
      load.z_ohm.emplace_back(rn, xn + 2.0 * static_cast<double>(f));
      if (share > 0.0) load.radiated_share.push_back(share * random.real(0.9, 1.0));
    }
    job.loads.push_back(load);
  }
  return c;
}

/// What comes back is what evaluating the whole ladder gives, in every condition, and the least that it says of itself.
void check_figures(const Case& c, const OneSetting& found) {
  double swr = 1.0, loss = -network::infinite;
  REQUIRE(found.conditions.size() == c.job.loads.size());
  for (std::size_t n = 0; n < c.job.loads.size(); ++n) {
    const ConditionSetting& s = found.conditions[n];
    REQUIRE(s.condition == c.job.loads[n].condition);
    double here_swr = 1.0, here_loss = -network::infinite;
    for (std::size_t f = 0; f < c.space.frequency_hz.size(); ++f) {
      const network::Evaluation e =
          network::evaluate(whole_ladder(c.job, s, f), c.job.source, c.space.frequency_hz[f], c.job.loads[n].z_ohm[f]);
      const double share = c.job.loads[n].radiated_share.empty() ? 1.0 : c.job.loads[n].radiated_share[f];
      const double offered = network::power_at_swr(c.job.source.power_w, c.job.foldback, e.swr) / c.job.source.power_w;
      CHECK(std::abs(s.swr.at(f) / e.swr - 1.0) <= 1e-9);
      CHECK(std::abs(s.loss_db.at(f) - (e.loss.transducer_db + to_db(share * offered))) <= 1e-9);
      here_swr = std::max(here_swr, s.swr[f]);
      here_loss = std::max(here_loss, s.loss_db[f]);
    }
    CHECK(s.worst_swr == here_swr);
    CHECK(s.worst_loss_db == here_loss);
    CHECK(s.holds == (s.worst_swr <= c.job.swr_limit * swr_slack));
    if (!s.normal) continue;
    swr = std::max(swr, here_swr);
    loss = std::max(loss, here_loss);
  }
  CHECK(found.worst_swr == swr);
  CHECK(found.worst_loss_db == loss);
  CHECK((found.status == SettingStatus::holds) == (swr <= c.job.swr_limit * swr_slack));
}

}  // namespace

TEST_CASE("one setting equals the plain loop over every setting") {
  Random random(20261128);
  int differ = 0, hold = 0, fail = 0;
  for (int n = 0; n < 200; ++n) {
    const Case c = random_case(random, n % 2 == 1);
    const PlainAnswer plain = plain_loop(c.space, c.job);
    const OneSetting found = find_one_setting(prepare_space(c.space), c.job);
    INFO("case " << n);
    CHECK((found.status == SettingStatus::holds) == plain.best.holds);
    CHECK(std::abs(found.worst_loss_db - to_db(plain.best.share)) <= 1e-9);
    CHECK(found.proof.bound_db == found.worst_loss_db);
    CHECK(found.proof.proven);
    CHECK(found.proof.tried > 0);
    check_figures(c, found);
    hold += plain.best.holds ? 1 : 0;
    fail += plain.best.holds ? 0 : 1;
    if (plain.best.holds && !plain.ignoring_swr.holds) ++differ;
  }
  // The cases are of every sort: none that holds, and one that holds though another radiates more.
  CHECK(hold >= 40);
  CHECK(fail >= 40);
  CHECK(differ >= 10);
}

namespace {

/// A coil of a few taps (their impedances stated, as a computed coil has them) with a trimmer across, and bought parts
/// across one of its ends or the other. All invented.
Case random_trimmed_case(Random& random, Moves moves, bool foldback) {
  Case c = random_case(random, foldback);
  c.space.moves = moves;
  PartSteps bought;
  bought.stock.inductor_loss.q = 150.0, bought.stock.capacitor_loss.q = 900.0;
  bought.inductor_series = bought.capacitor_series = ESeries::e3;
  const double w = two_pi_f(c.space.frequency_hz.front());
  bought.stock.least_inductance_h = 15.0 / w, bought.stock.most_inductance_h = 300.0 / w;
  bought.stock.least_capacitance_f = 1.0 / (300.0 * w), bought.stock.most_capacitance_f = 1.0 / (15.0 * w);
  PartList coil;
  const std::size_t taps = random.count(3, 9), trimmers = random.count(2, 4);
  const double q = random.ratio(80.0, 300.0), most_ohm = random.ratio(50.0, 900.0),
               across_f = random.ratio(0.05, 0.8) / (most_ohm * w);
  for (std::size_t tap = 0; tap < taps; ++tap) {
    for (std::size_t trimmer = 0; trimmer < trimmers; ++trimmer) {
      Choice choice;
      choice.tap = tap, choice.trimmer = trimmer;
      if (tap > 0) {  // at tap 0 the coil is bypassed
        choice.element = network::Element{"coil", Place::series, network::Inductor{1e-6}, {}};
        for (const double f : c.space.frequency_hz) {
          const double x =
              most_ohm * static_cast<double>(tap) / static_cast<double>(taps - 1) * f / c.space.frequency_hz.front();
          const cdouble y =
              1.0 / cdouble{x / q, x} +
              cdouble{0.0, two_pi_f(f) * across_f * static_cast<double>(trimmer) / static_cast<double>(trimmers - 1)};
          choice.z_ohm.push_back(1.0 / y);
        }
      }
      coil.choices.push_back(choice);
    }
  }
  c.space.lists = {bought_parts(bought), coil};
  c.space.circuits = {{},
                      {{Place::series, 1}},
                      {{Place::shunt, 0}, {Place::series, 1}},
                      {{Place::series, 1}, {Place::shunt, 0}},
                      {{Place::shunt, 0}, {Place::series, 0}},
                      {{Place::shunt, 0}, {Place::series, 1}, {Place::shunt, 0}}};
  return c;
}

}  // namespace

TEST_CASE("what a hand moves is moved in each condition and the rest chosen once, as in the plain loop") {
  Random random(77);
  const std::vector<Moves> all{Moves::tap, Moves::trimmer, Moves::tap_and_trimmer, Moves::each_condition, Moves::once};
  int hold = 0, moved = 0;
  for (int n = 0; n < 60; ++n) {
    const Moves moves = all[static_cast<std::size_t>(n) % all.size()];
    const Case c = random_trimmed_case(random, moves, n % 2 == 1);
    const PlainAnswer plain = plain_loop(c.space, c.job);
    const OneSetting found = find_one_setting(prepare_space(c.space), c.job);
    INFO("case " << n);
    CHECK((found.status == SettingStatus::holds) == plain.best.holds);
    CHECK(std::abs(found.worst_loss_db - to_db(plain.best.share)) <= 1e-9);
    CHECK(found.proof.proven);
    check_figures(c, found);
    hold += plain.best.holds ? 1 : 0;
    // Only what moves differs between normal conditions.
    const ConditionSetting& first = found.conditions.front();
    for (const ConditionSetting& s : found.conditions) {
      if (moves == Moves::each_condition) continue;
      CHECK(s.circuit == first.circuit);
      CHECK(stays(s.parts, moves) == stays(first.parts, moves));
      for (std::size_t p = 0; p < s.parts.size(); ++p)
        moved += s.parts[p].tap != first.parts[p].tap || s.parts[p].trimmer != first.parts[p].trimmer ? 1 : 0;
    }
  }
  CHECK(hold >= 10);
  CHECK(moved >= 10);
}
