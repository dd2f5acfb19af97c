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

double to_db(double share) { return share > 0.0 ? 10.0 * std::log10(1.0 / share) : network::infinite; }

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

TEST_CASE("a setting that must hold is the one found without that, and none when none holds") {
  Random random(78);
  const std::vector<Moves> all{Moves::tap, Moves::trimmer, Moves::tap_and_trimmer, Moves::each_condition, Moves::once};
  int hold = 0, fail = 0;
  for (std::size_t n = 0; n < 60; ++n) {
    Case c = random_trimmed_case(random, all[n % all.size()], n % 2 == 1);
    const PreparedSpace space = prepare_space(c.space);
    const OneSetting any = find_one_setting(space, c.job);
    c.job.must_hold = true;
    const OneSetting held = find_one_setting(space, c.job);
    INFO("case " << n);
    CHECK(held.status == any.status);
    if (any.status == SettingStatus::holds) {
      ++hold;
      CHECK(held.worst_loss_db == any.worst_loss_db);
      CHECK(held.proof.bound_db == any.proof.bound_db);
      CHECK(held.conditions.size() == any.conditions.size());
    } else {
      ++fail;
      CHECK(held.conditions.empty());
      CHECK(held.proof.tried <= any.proof.tried);
      CHECK((held.proof.proven == (held.proof.how.find("not proven") == std::string::npos)));
      CHECK(held.proof.how.find("holds") != std::string::npos);
    }
  }
  CHECK(hold >= 5);
  CHECK(fail >= 5);
}

TEST_CASE("continuous values: no setting of fine steps beats the bound, and what is found is within the gap of it") {
  Random random(5);
  int closed = 0, hold = 0;
  for (int n = 0; n < 40; ++n) {
    Case c = random_case(random, n % 2 == 1);
    PartSteps steps;
    steps.stock.inductor_loss.q = 200.0, steps.stock.capacitor_loss.q = 1000.0;
    if (n % 5 == 0) steps.capacitor_series = ESeries::e12;
    c.space = l_network_space(c.space.frequency_hz, steps);
    c.job.loads.resize(2);
    while (n % 4 == 0 && c.job.loads.size() < 20) {  // more points than bound a box at a time
      ServedLoad load = c.job.loads.front();
      for (cdouble& z : load.z_ohm) z += cdouble{random.real(0.0, 5.0), random.real(-30.0, 30.0)};
      c.job.loads.push_back(load);
    }
    const OneSetting found = find_one_setting(prepare_space(c.space), c.job);
    INFO("case " << n << ": " << found.worst_loss_db << " dB, bound " << found.proof.bound_db << " dB, tried "
                 << found.proof.tried << ", " << found.proof.how);
    check_figures(c, found);
    CHECK(found.proof.bound_db <= found.worst_loss_db);
    if (found.proof.proven) {
      CHECK(found.worst_loss_db - found.proof.bound_db <= c.job.gap_db * (1.0 + 1e-9));
      ++closed;
    }
    // The same space in steps of E192, searched exactly: it holds only if this does, and is never better than the
    // bound.
    steps.inductor_series = ESeries::e192;
    if (!steps.capacitor_series) steps.capacitor_series = ESeries::e192;
    const OneSetting fine = find_one_setting(prepare_space(l_network_space(c.space.frequency_hz, steps)), c.job);
    const bool holds = found.status == SettingStatus::holds;
    if (fine.status == SettingStatus::holds) CHECK(holds);
    if (holds == (fine.status == SettingStatus::holds)) CHECK(fine.worst_loss_db >= found.proof.bound_db - 1e-9);
    hold += holds ? 1 : 0;
  }
  CHECK(closed == 40);
  CHECK(hold >= 8);
}

TEST_CASE("without an SWR limit the least worst loss counts alone") {
  Random random(12);
  for (int n = 0; n < 30; ++n) {
    Case c = random_case(random, n % 2 == 1);
    c.job.swr_limit = network::infinite;
    const OneSetting found = find_one_setting(prepare_space(c.space), c.job);
    INFO("case " << n);
    CHECK(found.status == SettingStatus::holds);
    CHECK(std::abs(found.worst_loss_db - to_db(plain_loop(c.space, c.job).ignoring_swr.share)) <= 1e-9);
    check_figures(c, found);
    PartSteps any;
    any.stock.inductor_loss.q = 200.0, any.stock.capacitor_loss.q = 1000.0;
    const PreparedSpace space = prepare_space(l_network_space(c.space.frequency_hz, any));
    const OneSetting free = find_one_setting(space, c.job);
    c.job.swr_limit = 2.0;
    CHECK(free.proof.proven);
    CHECK(free.worst_loss_db <= find_one_setting(space, c.job).worst_loss_db + c.job.gap_db);
  }
}

TEST_CASE("any value for one load is its match, with the loss of the best of all L networks") {
  for (const bool lossless : {true, false}) {
    PartSteps steps;
    steps.stock.inductor_self_capacitance_f = 0.0;
    if (!lossless) steps.stock.inductor_loss.q = 200.0, steps.stock.capacitor_loss.q = 1000.0;
    SettingJob job;
    job.loads = {{"lifted", true, {cdouble{12.0, -230.0}}, {}}};
    const OneSetting found = find_one_setting(prepare_space(l_network_space({14.2e6}, steps)), job);
    MatchRequest request;
    request.frequency_hz = 14.2e6;
    request.load.model = load::ConstantLoad{{12.0, -230.0}};
    request.stock = steps.stock;
    const double matched_db = solve_match(request).at(0).evaluation.loss.transducer_db;
    // A match loses a little more than the setting that is best with losses.
    CHECK(found.worst_loss_db <= matched_db + 1e-9);
    CHECK(found.worst_loss_db >= found.proof.bound_db);
    CHECK(found.worst_loss_db >= matched_db - 0.001);
    CHECK(found.worst_swr <= (lossless ? 1.001 : 1.05));
  }
}

TEST_CASE("each condition for itself is proven where values are continuous, and never worse than one setting") {
  Random random(9);
  for (int n = 0; n < 10; ++n) {
    Case c = random_case(random, false);
    PartSteps steps;
    steps.stock.inductor_loss.q = 200.0, steps.stock.capacitor_loss.q = 1000.0;
    for (ServedLoad& load : c.job.loads) load.normal = true;
    c.space = l_network_space(c.space.frequency_hz, steps);
    const OneSetting once = find_one_setting(prepare_space(c.space), c.job);
    c.space.moves = Moves::each_condition;
    const OneSetting each = find_one_setting(prepare_space(c.space), c.job);
    INFO("case " << n);
    check_figures(c, each);
    CHECK(each.proof.proven);
    CHECK(each.worst_loss_db - each.proof.bound_db <= c.job.gap_db * (1.0 + 1e-9));
    if (once.status == SettingStatus::holds) {
      CHECK(each.status == SettingStatus::holds);
      CHECK(each.worst_loss_db <= once.worst_loss_db + c.job.gap_db);
    }
  }
}

TEST_CASE("a trimmer of any value moves in each condition, and its bound is that of each condition alone") {
  // Two reactances 60 ohm apart behind a coil: set once the SWR limit 1.5 cannot hold, a capacitor in series makes up
  // for it.
  Case c;
  c.space.frequency_hz = {7.1e6};
  const double w = two_pi_f(7.1e6);
  c.job.swr_limit = 1.5;
  c.job.loads = {{"wet", true, {cdouble{50.0, -230.0}}, {}}, {"dry", true, {cdouble{50.0, -290.0}}, {}}};
  PartList coil, trimmer;
  coil.choices.push_back({network::Element{"", Place::series, network::Inductor{400.0 / w}, {}}, {}});
  trimmer.ranges.push_back({PartKind::capacitor, 1.0 / (400.0 * w), 1.0 / (50.0 * w), {}, 0.0, {}, true});
  c.space.lists = {coil, trimmer};
  c.space.circuits = {{{Place::series, 0}, {Place::series, 1}}};
  c.space.moves = Moves::trimmer;
  const OneSetting moved = find_one_setting(prepare_space(c.space), c.job);
  check_figures(c, moved);
  CHECK(moved.status == SettingStatus::holds);
  CHECK(moved.worst_loss_db <= 1.5e-5);  // steps of 0.2 % of 170 ohm are 0.17 ohm off at most: 1.26e-5 dB
  CHECK(moved.proof.bound_db <= 1e-9);
  c.space.moves = Moves::once;
  const OneSetting once = find_one_setting(prepare_space(c.space), c.job);
  CHECK(once.status == SettingStatus::does_not_hold);
  // 30 ohm of reactance are left in both: |reflection|^2 = 30^2/(100^2 + 30^2) = 0.082569.
  CHECK(std::abs(once.worst_loss_db + 10.0 * std::log10(1.0 - 900.0 / 10900.0)) <= c.job.gap_db);
  CHECK(once.proof.proven);
}

TEST_CASE("where a hand moves a part, a range is searched in steps of half a per cent") {
  // A coil of 400 ohm with taps and a capacitor that makes up for what is left: half a step of 0.5 % of some 170 ohm is
  // 0.43 ohm, and 10 log10(1 + (0.43/100)^2) = 8e-5 dB.
  for (const double x_ohm : {-221.0, -227.3, -231.9, -238.4, -244.7}) {
    Case c;
    c.space.frequency_hz = {7.1e6};
    const double w = two_pi_f(7.1e6);
    c.job.loads = {{"any", true, {cdouble{50.0, x_ohm}}, {}}};
    PartList coil, capacitor;
    for (const std::size_t tap : {0U, 1U})
      coil.choices.push_back(
          {network::Element{"", Place::series, network::Inductor{(400.0 - 150.0 * static_cast<double>(tap)) / w}, {}},
           {},
           0,
           tap});
    capacitor.ranges.push_back({PartKind::capacitor, 1.0 / (400.0 * w), 1.0 / (50.0 * w), {}, 0.0, {}, false});
    c.space.lists = {coil, capacitor};
    c.space.circuits = {{{Place::series, 0}, {Place::series, 1}}};
    c.space.moves = Moves::tap;
    const OneSetting found = find_one_setting(prepare_space(c.space), c.job);
    INFO(x_ohm);
    check_figures(c, found);
    CHECK(found.worst_loss_db <= 8.1e-5);
  }
}

TEST_CASE("an accident is judged as the worst of what the set was left at") {
  // The trimmer stands where "wet" or "dry" left it; the loss of a torn wire is the worse of both.
  Case c;
  c.space.frequency_hz = {7.1e6};
  const double w = two_pi_f(7.1e6);
  c.job.loads = {{"wet", true, {cdouble{50.0, -230.0}}, {}},
                 {"dry", true, {cdouble{50.0, -290.0}}, {}},
                 {"torn", false, {cdouble{40.0, -500.0}}, {}}};
  PartList coil, trimmer;
  coil.choices.push_back({network::Element{"", Place::series, network::Inductor{400.0 / w}, {}}, {}});
  trimmer.ranges.push_back({PartKind::capacitor, 1.0 / (400.0 * w), 1.0 / (50.0 * w), {}, 0.0, {}, true});
  c.space.lists = {coil, trimmer};
  c.space.circuits = {{{Place::series, 0}, {Place::series, 1}}};
  c.space.moves = Moves::trimmer;
  const OneSetting found = find_one_setting(prepare_space(c.space), c.job);
  REQUIRE(found.conditions.size() == 3);
  double worst_db = 0.0, least_db = 1e9;
  for (const std::size_t left : {0U, 1U}) {
    const double x =
        400.0 - 500.0 -
        1.0 / (w * network::value_si(found.conditions[left].parts.at(1).element->part));  // by hand: in series
    const double db = 10.0 * std::log10((90.0 * 90.0 + x * x) / (4.0 * 50.0 * 40.0));
    worst_db = std::max(worst_db, db), least_db = std::min(least_db, db);
  }
  CHECK(worst_db > least_db + 0.5);
  CHECK(std::abs(found.conditions[2].worst_loss_db - worst_db) <= 1e-9);
}

TEST_CASE("a tapped coil with a part of any value: no setting of fine steps beats the bound") {
  Random random(41);
  int compared = 0;
  for (int n = 0; n < 20; ++n) {
    Case c = random_trimmed_case(random, n % 2 == 0 ? Moves::tap : Moves::tap_and_trimmer, n % 3 == 0);
    PartSteps steps;
    steps.stock.inductor_loss.q = 150.0, steps.stock.capacitor_loss.q = 900.0;
    c.space.circuits = {{}, {{Place::series, 1}}, {{Place::shunt, 0}, {Place::series, 1}}};
    c.space.lists[0] = bought_parts(steps);
    const OneSetting found = find_one_setting(prepare_space(c.space), c.job);
    INFO("case " << n << ": " << found.worst_loss_db << " dB, bound " << found.proof.bound_db << " dB");
    check_figures(c, found);
    CHECK(found.proof.bound_db <= found.worst_loss_db);
    steps.inductor_series = steps.capacitor_series = ESeries::e96;
    c.space.lists[0] = bought_parts(steps);
    const OneSetting fine = find_one_setting(prepare_space(c.space), c.job);
    if (fine.status != found.status) continue;
    CHECK(fine.worst_loss_db >= found.proof.bound_db - 1e-9);
    CHECK(fine.worst_loss_db >= found.worst_loss_db - 0.01);  // steps of 2.4 % against those of 0.5 %
    ++compared;
  }
  CHECK(compared >= 15);
}

TEST_CASE("an accident has no say, and is judged as the set was left") {
  Random random(3);
  Case c = random_trimmed_case(random, Moves::tap, false);
  c.job.loads.resize(1);
  c.job.loads.push_back(c.job.loads.front());
  c.job.loads.back().z_ohm.assign(c.space.frequency_hz.size(), cdouble{9.0, -2500.0});
  c.job.loads.back().normal = false;
  const OneSetting with = find_one_setting(prepare_space(c.space), c.job);
  check_figures(c, with);
  const auto& left = with.conditions;
  CHECK(left.at(1).loss_db.front() > left.at(0).loss_db.front());
  REQUIRE(left.at(1).parts.size() == left.at(0).parts.size());
  for (std::size_t n = 0; n < left.at(0).parts.size(); ++n) CHECK(left.at(1).parts[n].tap == left.at(0).parts[n].tap);
  c.job.loads.pop_back();
  CHECK(find_one_setting(prepare_space(c.space), c.job).worst_loss_db == with.worst_loss_db);
}

TEST_CASE("of equal settings the one with fewer parts, then lower indices, is taken") {
  // Nothing to match: without loss every bypassed circuit radiates the same.
  Case c;
  c.space.frequency_hz = {7.1e6};
  c.job.loads = {{"matched", true, {cdouble{50.0, 0.0}}, {}}};
  PartList list;
  list.choices.push_back({std::nullopt, {}, 0});
  list.choices.push_back({std::nullopt, {}, 1});
  c.space.lists = {list};
  c.space.circuits = {{{Place::series, 0}, {Place::shunt, 0}}, {{Place::series, 0}}};
  const OneSetting found = find_one_setting(prepare_space(c.space), c.job);
  CHECK(found.conditions.at(0).circuit == 1);
  REQUIRE(found.conditions.at(0).parts.size() == 1);
  CHECK(found.conditions.at(0).parts[0].part == 0);
  CHECK(found.conditions.at(0).elements().empty());
  CHECK(found.worst_swr == 1.0);
  CHECK(found.worst_loss_db == 0.0);
}

TEST_CASE("a job's defaults are those documented") {
  const SettingJob job;
  CHECK(job.swr_limit == 2.0);
  CHECK(job.gap_db == 0.01);
  CHECK(job.most_boxes == 200000);
  CHECK_FALSE(job.must_hold);
  CHECK(job.foldback.empty());
}

TEST_CASE("a search for one setting refuses what is out of range and says it") {
  const SettingSpace space = l_network_space({7.1e6}, {});
  SettingJob job;
  CHECK_THROWS_WITH(find_one_setting(prepare_space(space), job), Catch::Contains("normal condition"));
  job.loads = {{"lifted", true, {cdouble{0.0, -100.0}}, {}}};
  CHECK_THROWS_WITH(find_one_setting(prepare_space(space), job), Catch::Contains("\"lifted\""));
  job.loads = {{"lifted", true, {cdouble{10.0, -100.0}}, {0.0}}};
  CHECK_THROWS_WITH(find_one_setting(prepare_space(space), job), Catch::Contains("radiated share is 0 in \"lifted\""));
  job.loads = {{"lifted", true, {cdouble{10.0, -100.0}, cdouble{10.0, -100.0}}, {}}};
  CHECK_THROWS_AS(find_one_setting(prepare_space(space), job), DomainError);
  job.loads = {{"lifted", true, {cdouble{10.0, -100.0}}, {}}};
  job.foldback = {{1.5, 2.0}};  // above the full power
  CHECK_THROWS_WITH(find_one_setting(prepare_space(space), job), Catch::Contains("fold-back"));
  job.foldback.clear();
  job.swr_limit = 1.0;
  CHECK_THROWS_AS(find_one_setting(prepare_space(space), job), DomainError);
  CHECK_THROWS_AS(find_one_setting({}, job), DomainError);
}
