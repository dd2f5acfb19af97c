#include <stile/safety/exposure.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <map>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <stile/base/errors.hpp>
#include <stile/base/parallel.hpp>
#include <stile/base/quantity.hpp>
#include <stile/safety/detail/rounding.hpp>
#include <stile/wire/conditions.hpp>
#include <stile/wire/near_field.hpp>

namespace stile::safety {

using wire::NearField;
using wire::Vec3;

namespace {

constexpr std::array<double, 3> bystander_m{1.0, 2.0, 5.0};
constexpr double beyond_end_m = 0.2;
constexpr double bystander_radius_m = wire::PersonBody{}.radius_m;
constexpr std::array<double, 6> raises_m{0.1, 0.2, 0.3, 0.5, 0.7, 1.0};
constexpr std::array<double, 4> backs_m{0.1, 0.2, 0.3, 0.5};

struct Body {
  FieldAt whole;
  FieldAt worst;  ///< of its points
};

/// @param points  of body_line, and any more of the surface, which count for the worst point alone
Body body_field(const Bystander& person, std::span<const Vec3> points, std::span<const NearField> fields,
                double clearance_m) {
  double e2 = 0.0, h2 = 0.0;
  std::size_t strongest = 0, on_axis = 0;
  for (std::size_t n = 0; n < points.size(); ++n) {
    if (fields[n].e_v_m() > fields[strongest].e_v_m()) strongest = n;
    if (n >= body_points) continue;
    e2 += fields[n].e_v_m() * fields[n].e_v_m() / body_points;
    h2 += fields[n].h_a_m() * fields[n].h_a_m() / body_points;
    on_axis = strongest;
  }
  Body b;
  b.whole = {person.name, points[on_axis], false, true, std::sqrt(e2), std::sqrt(h2), {}, {}, clearance_m};
  b.worst = {person.name, points[strongest], false, false, fields[strongest].e_v_m(), 0.0, {}, {}, clearance_m};
  for (const NearField& f : fields) b.worst.h_a_m = std::max(b.worst.h_a_m, f.h_a_m());
  return b;
}

/// Of a body's surface: its axis less its radius, or what else of it is nearer.
double least_clearance_m(const wire::Antenna& antenna, const Bystander& person, double radius_m,
                         std::span<const Place> places) {
  double least = HUGE_VAL;
  for (const Vec3& p : body_line(person)) least = std::min(least, clearance_m(antenna, p) - radius_m);
  for (const Place& p : places) least = std::min(least, clearance_m(antenna, p.point_m));
  return std::max(0.0, least);
}

Vec3 feed_of(const wire::WireCase& wires) { return wires.antenna.wires[wires.antenna.feed.wire].points.front(); }

using FieldOf = std::function<std::vector<NearField>(const wire::AntennaSolution&, std::span<const Vec3>)>;

/// Of bystanders around the feed those with the largest E and the largest H, on the axis and on the surface that faces
/// the feed, and with the largest of each over the whole body.
std::vector<Bystander> worst_directions(const std::vector<Bystander>& all, Vec3 feed, const FieldOf& field,
                                        const wire::AntennaSolution& solution) {
  std::vector<Vec3> points;
  for (const Bystander& b : all) {
    const std::vector<Vec3> axis = body_line(b);
    points.insert(points.end(), axis.begin(), axis.end());
    const double x = feed.x_m - b.ground_m.x_m, y = feed.y_m - b.ground_m.y_m;
    const double nearer = bystander_radius_m / std::hypot(x, y);
    for (const Vec3& p : axis) points.push_back({p.x_m + nearer * x, p.y_m + nearer * y, p.z_m});
  }
  const std::vector<NearField> fields = field(solution, points);
  std::array<double, 4> most{};
  std::array<std::size_t, 4> where{};
  for (std::size_t b = 0; b < all.size(); ++b) {
    std::array<double, 4> of_body{};  // largest E and H, squares of E and H along the axis
    for (std::size_t n = 0; n < 2 * body_points; ++n) {
      const NearField& f = fields[b * 2 * body_points + n];
      const double e = f.e_v_m(), h = f.h_a_m();
      of_body[0] = std::max(of_body[0], e);
      of_body[1] = std::max(of_body[1], h);
      if (n >= body_points) continue;
      of_body[2] += e * e;
      of_body[3] += h * h;
    }
    for (std::size_t k = 0; k < most.size(); ++k) {
      if (of_body[k] <= most[k]) continue;
      most[k] = of_body[k];
      where[k] = b;
    }
  }
  std::sort(where.begin(), where.end());
  const auto last = std::unique(where.begin(), where.end());
  std::vector<Bystander> worst;
  for (auto w = where.begin(); w != last; ++w) worst.push_back(all[*w]);
  return worst;
}

std::vector<Vec3> axis_and_surface(const Bystander& b, double radius_m) {
  std::vector<Vec3> all = body_line(b);
  for (const Vec3& p : body_surface(b, radius_m)) all.push_back(p);
  return all;
}

/// Fields at the person who carries it.
/// @param bare         without the person
/// @param with_person  currents with him; none: that field is not computed
std::vector<FieldAt> carrier_fields(const Carrier& carrier, const wire::WireCase& bare,
                                    const wire::AntennaSolution& solution, const wire::AntennaSolution* with_person,
                                    const FieldOf& field) {
  std::vector<Vec3> places;
  for (const Place& p : carrier.places) places.push_back(p.point_m);
  const std::vector<Vec3> own = axis_and_surface(carrier.stands, carrier.radius_m);
  std::vector<Vec3> points = places;
  points.insert(points.end(), own.begin(), own.end());
  const std::vector<NearField> f = field(solution, points);
  std::vector<NearField> with;
  if (with_person) with = field(*with_person, places);

  std::vector<FieldAt> fields;
  const double own_clearance_m = least_clearance_m(bare.antenna, carrier.stands, carrier.radius_m, carrier.places);
  for (std::size_t n = 0; n < places.size(); ++n) {
    FieldAt at{carrier.places[n].name, places[n], true, false, f[n].e_v_m(), f[n].h_a_m(), {}, {}, own_clearance_m};
    if (with_person) {
      at.e_with_person_v_m = with[n].e_v_m();
      at.h_with_person_a_m = with[n].h_a_m();
    }
    fields.push_back(std::move(at));
  }
  Body body = body_field(carrier.stands, own, std::span<const NearField>(f).subspan(places.size()), own_clearance_m);
  body.whole.where = "whole body";
  body.whole.carrier = body.worst.carrier = true;
  // The worst of all points, E and H each.
  for (const FieldAt& at : fields) {
    const double h = std::max(body.worst.h_a_m, at.h_a_m);
    if (at.e_v_m > body.worst.e_v_m) body.worst = at;
    body.worst.h_a_m = h;
  }
  body.worst.h_with_person_a_m.reset();  // of another point
  body.worst.where = "worst point of the body";
  fields.push_back(std::move(body.whole));
  fields.push_back(std::move(body.worst));
  return fields;
}

/// Fields at those who stand by. @param bare  without the person
std::vector<FieldAt> bystander_fields(const wire::WireCase& bare, const wire::AntennaSolution& solution,
                                      const FieldOf& field) {
  // Bystanders whose whole surface counts: all at the ends of wires, at each distance those of the worst directions.
  std::vector<std::vector<Bystander>> groups;
  for (const double distance : bystander_m)
    groups.push_back(worst_directions(bystanders_at(bare, distance), feed_of(bare), field, solution));
  for (const Bystander& b : bystanders_at_ends(bare, beyond_end_m)) groups.push_back({b});
  std::vector<Vec3> points;
  for (const auto& group : groups) {
    for (const Bystander& b : group) {
      const std::vector<Vec3> of_body = axis_and_surface(b, bystander_radius_m);
      points.insert(points.end(), of_body.begin(), of_body.end());
    }
  }
  const std::vector<NearField> all = field(solution, points);
  std::vector<FieldAt> fields;
  std::size_t first = 0;
  for (const auto& group : groups) {
    std::optional<Body> worst;  // E and H each of the worst direction
    for (const Bystander& b : group) {
      const std::size_t count = axis_and_surface(b, bystander_radius_m).size();
      const Body one_body = body_field(b, std::span<const Vec3>(points).subspan(first, count),
                                       std::span<const NearField>(all).subspan(first, count),
                                       least_clearance_m(bare.antenna, b, bystander_radius_m, {}));
      first += count;
      if (!worst) {
        worst = one_body;
        continue;
      }
      const auto take = [](FieldAt& most, const FieldAt& next) {
        const double h = std::max(most.h_a_m, next.h_a_m);
        if (next.e_v_m > most.e_v_m) most = next;
        most.h_a_m = h;
      };
      take(worst->whole, one_body.whole);
      take(worst->worst, one_body.worst);
    }
    if (!worst) continue;
    fields.push_back(worst->whole);
    fields.push_back(worst->worst);
  }
  return fields;
}

FieldOf field_of(double power_w, const ExposureOptions& options) {
  return [power_w, &options](const wire::AntennaSolution& s, std::span<const Vec3> at) {
    return wire::near_field(s, at, power_w, options.solve.tables, options.threads);
  };
}

}  // namespace

ExposureCase with_bare(ExposureCase one, const ExposureOptions& options) {
  if (one.bare) return one;
  const wire::WireCase bare = without_person(one.wires);
  one.bare = bare.antenna.wires.size() == one.wires.antenna.wires.size()
                 ? one.solution
                 : wire::solve_antenna(bare.antenna, bare.ground, one.solution.frequency_hz, options.solve);
  return one;
}

std::vector<FieldAt> fields_at_people(const ExposureCase& one, const ExposureOptions& given) {
  ExposureOptions options = given;
  options.solve = wire::with_tables(given.solve);
  const wire::WireCase bare = without_person(one.wires);
  const bool person = bare.antenna.wires.size() != one.wires.antenna.wires.size();
  const ExposureCase known = with_bare(one, options);
  const FieldOf field = field_of(one.power_w, options);
  std::vector<FieldAt> fields =
      carrier_fields(carrier_of(one.wires), bare, *known.bare, person ? &one.solution : nullptr, field);
  for (FieldAt& f : bystander_fields(bare, *known.bare, field)) fields.push_back(std::move(f));
  return fields;
}

std::vector<std::string> bystanders_left_out(const wire::WireCase& wires) {
  return ends_without_bystander(without_person(wires), beyond_end_m);
}

std::vector<FieldAt> at_power(std::vector<FieldAt> fields, double from_w, double to_w) {
  require(from_w > 0.0 && to_w > 0.0, "both powers must be > 0");
  const double factor = std::sqrt(to_w / from_w);
  for (FieldAt& f : fields) {
    f.e_v_m *= factor;
    f.h_a_m *= factor;
    if (f.e_with_person_v_m) *f.e_with_person_v_m *= factor;
    if (f.h_with_person_a_m) *f.h_with_person_a_m *= factor;
  }
  return fields;
}

std::vector<ExposureRow> exposure_rows(const ExposureCase& one, const std::vector<FieldAt>& fields,
                                       const ExposureOptions& options) {
  std::vector<ExposureRow> rows;
  for (const LevelAt& level : levels_at(options.levels, one.solution.frequency_hz)) {
    for (const FieldAt& field : fields) {
      if (field.whole_body != (level.scope == "whole body")) continue;
      ExposureRow row{
          field, one.wires.name, one.solution.frequency_hz, one.power_w, level, level.averaging_s > 0.0, 1.0, {}, ""};
      row.power_share = mean_power_share(options.duty, level.averaging_s);
      if (has_portable_rule(level.standard) && field.clearance_m < portable_distance_m) {
        row.note = "portable: a conductor is within 20 cm of the body, SAR limits apply in place of the field's levels";
      } else {
        row.ratio = field_ratio(level, field.e_v_m, field.h_a_m, row.power_share);
      }
      rows.push_back(std::move(row));
    }
  }
  return rows;
}

std::vector<std::vector<ExposureRow>> exposures(std::span<const ExposureCase> cases, const ExposureOptions& given) {
  ExposureOptions options = given;
  options.solve = wire::with_tables(given.solve);
  std::vector<std::vector<ExposureRow>> all;
  for (const ExposureCase& one : cases) all.push_back(exposure_rows(one, fields_at_people(one, options), options));
  return all;
}

namespace {

bool speaks(const ExposureRow& row, const Verdict& verdict) {
  return row.ratio && row.level.standard == verdict.worst.level.standard &&
         row.level.group == verdict.worst.level.group;
}

/// A case with its wires changed, without the person, and with 1 W into it: the fields of who carries it, those of all
/// others when they are asked for.
struct Changed {
  wire::WireCase bare;
  std::optional<wire::AntennaSolution> solution;  ///< none where it cannot be solved
  std::vector<FieldAt> fields;
  bool of_all = false;
};

/// What a change makes of a case, and where who carries it stands then.
struct Moved {
  wire::WireCase wires;
  Carrier carrier;
};
using Move = std::function<Moved(const wire::WireCase&)>;

Changed changed(const ExposureCase& one, const Moved& moved, const ExposureOptions& options) {
  Changed c{without_person(moved.wires), {}, {}, false};
  try {
    c.solution = wire::solve_antenna(c.bare.antenna, c.bare.ground, one.solution.frequency_hz, options.solve);
    c.fields = carrier_fields(moved.carrier, c.bare, *c.solution, nullptr, field_of(1.0, options));
  } catch (const DomainError&) {
    c.solution.reset();
  }
  return c;
}

void add_bystanders(Changed& c, const ExposureOptions& options) {
  if (c.of_all || !c.solution) return;
  try {
    for (FieldAt& f : bystander_fields(c.bare, *c.solution, field_of(1.0, options))) c.fields.push_back(std::move(f));
    c.of_all = true;
  } catch (const DomainError&) {
    c.solution.reset();
  }
}

/// Verdicts of groups, by group and verdict.
using OfVerdicts = std::vector<std::vector<bool>>;

/// Which of the verdicts asked about meet their level in every case and at everybody once `change` is made, at the same
/// powers. Who carries it in the case of a verdict's worst row is asked first, then who carries it in every case, then
/// all others: a change that one of them rules out costs no more fields.
OfVerdicts met_with(const Move& change, const OfVerdicts& asked, std::span<const ExposureCase> cases,
                    std::span<const VerdictGroup> groups, const ExposureOptions& options) {
  enum class People { carrier_at_worst, carrier, everybody };
  const auto worst_case = [&](const VerdictGroup& g, const Verdict& v) {
    const auto found = std::find_if(g.cases.begin(), g.cases.end(), [&](std::size_t n) {
      return cases[n].wires.name == v.worst.condition && cases[n].solution.frequency_hz == v.worst.frequency_hz;
    });
    return found == g.cases.end() ? g.cases.front() : *found;
  };
  ExposureOptions single = options;
  single.threads = 1;
  std::vector<std::optional<Changed>> known(cases.size());
  OfVerdicts open = asked;  // those that nothing has ruled out yet
  for (const People people : {People::carrier_at_worst, People::carrier, People::everybody}) {
    std::vector<std::size_t> needed;
    for (std::size_t g = 0; g < groups.size(); ++g) {
      for (std::size_t v = 0; v < groups[g].verdicts.size(); ++v) {
        if (!open[g][v]) continue;
        if (people == People::carrier_at_worst)
          needed.push_back(worst_case(groups[g], groups[g].verdicts[v]));
        else
          needed.insert(needed.end(), groups[g].cases.begin(), groups[g].cases.end());
      }
    }
    std::sort(needed.begin(), needed.end());
    needed.erase(std::unique(needed.begin(), needed.end()), needed.end());
    in_blocks(needed.size(), 1, options.threads, [&](std::size_t first, std::size_t last) {
      for (std::size_t n = first; n < last; ++n) {
        std::optional<Changed>& c = known[needed[n]];
        if (!c) c = changed(cases[needed[n]], change(cases[needed[n]].wires), single);
        if (people == People::everybody) add_bystanders(*c, single);
      }
    });
    for (std::size_t g = 0; g < groups.size(); ++g) {
      const VerdictGroup& group = groups[g];
      if (std::find(open[g].begin(), open[g].end(), true) == open[g].end()) continue;
      ExposureOptions of_group = options;
      of_group.duty = group.duty;
      std::vector<double> worst(group.verdicts.size(), 0.0);
      bool solved = true;
      for (std::size_t n = 0; n < group.cases.size(); ++n) {
        const std::optional<Changed>& c = known[group.cases[n]];
        if (!c) continue;
        solved = solved && c->solution;
        ExposureCase one = cases[group.cases[n]];
        one.power_w = group.power_w[n];
        for (const ExposureRow& row : exposure_rows(one, at_power(c->fields, 1.0, one.power_w), of_group)) {
          for (std::size_t v = 0; v < group.verdicts.size(); ++v) {
            if (speaks(row, group.verdicts[v])) worst[v] = std::max(worst[v], *row.ratio);
          }
        }
      }
      for (std::size_t v = 0; v < group.verdicts.size(); ++v) {
        const bool met = worst[v] <= 1.0 && (worst[v] > 0.0 || people != People::everybody);
        open[g][v] = open[g][v] && solved && met;
      }
    }
  }
  return open;
}

std::string scope_words(const std::string& scope) {
  if (scope == "not averaged") return "that is not averaged";
  return scope == "local" ? "for a place" : "for the whole body";
}

std::string verdict_text(const Verdict& v, const Duty& duty) {
  const ExposureRow& w = v.worst;
  std::string text =
      fmt::format("{} {} into the antenna: {} {} the {} level of {} {} ({}, \"{}\")",
                  print_quantity(w.power_w, Unit::watt, 3), duty.mode, w.field.where, detail::ratio_words(*w.ratio),
                  w.level.group == "general public" ? "public" : w.level.group, w.level.standard,
                  scope_words(w.level.scope), print_quantity(w.frequency_hz, Unit::hertz, 5), w.condition);
  std::string portable;
  if (v.portable) portable += "; who carries it is nearer than 20 cm: SAR limits apply to him instead";
  if (v.portable_bystander)
    portable += "; a bystander is nearer than 20 cm to a conductor: SAR limits apply to him instead";
  if (*w.ratio <= 1.0) return text + portable;
  std::vector<std::string> changes;
  if (v.raise_m) changes.push_back(fmt::format("move the base {:.0f} cm up", 100.0 * *v.raise_m));
  if (v.back_m) changes.push_back(fmt::format("move the base {:.0f} cm back", 100.0 * *v.back_m));
  changes.push_back(
      fmt::format("turn the set down to {} into the antenna there", print_quantity(v.power_w, Unit::watt, 2)));
  if (v.talk_share) changes.push_back(fmt::format("transmit {:g} of the time", *v.talk_share));
  return fmt::format("{}; to meet it {}{}", text, fmt::join(changes, ", or "), portable);
}

/// Of all rows that a verdict speaks of.
std::optional<double> talk_share_that_meets(const Verdict& v, std::span<const std::vector<ExposureRow>> rows,
                                            const Duty& duty) {
  std::map<double, double> worst;  // ratio key down, by averaging time
  for (const auto& of_case : rows) {
    for (const ExposureRow& row : of_case) {
      if (!speaks(row, v)) continue;
      double& most = worst[row.level.averaging_s];
      most = std::max(most, *row.ratio / std::sqrt(row.power_share));
    }
  }
  for (int hundredths = 99; hundredths > 0; --hundredths) {
    Duty less = duty;
    less.talk_share = hundredths / 100.0;
    if (less.talk_share >= duty.talk_share) continue;
    if (std::all_of(worst.begin(), worst.end(),
                    [&](const auto& of) { return of.second * std::sqrt(mean_power_share(less, of.first)) <= 1.0; }))
      return less.talk_share;
  }
  return {};
}

}  // namespace

std::vector<Verdict> exposure_verdicts(std::span<const std::vector<ExposureRow>> rows, const Duty& duty) {
  std::vector<Verdict> verdicts;
  for (const auto& of_case : rows) {
    for (const ExposureRow& row : of_case) {
      if (!row.ratio) continue;
      const auto same =
          std::find_if(verdicts.begin(), verdicts.end(), [&](const Verdict& v) { return speaks(row, v); });
      if (same == verdicts.end()) {
        verdicts.emplace_back();
        verdicts.back().worst = row;
      } else if (*row.ratio > *same->worst.ratio) {
        same->worst = row;
      }
    }
  }
  for (Verdict& v : verdicts) {
    for (const auto& of_case : rows) {
      for (const ExposureRow& row : of_case) {
        if (row.ratio || row.level.standard != v.worst.level.standard) continue;
        (row.field.carrier ? v.portable : v.portable_bystander) = true;
      }
    }
    const double meets_w = v.worst.power_w / (*v.worst.ratio * *v.worst.ratio);
    v.power_w = *v.worst.ratio > 1.0 ? detail::two_figures_down(meets_w) : v.worst.power_w;
    if (*v.worst.ratio > 1.0) v.talk_share = talk_share_that_meets(v, rows, duty);
    v.text = verdict_text(v, duty);
  }
  return verdicts;
}

std::vector<VerdictGroup> with_moved_base(std::span<const ExposureCase> cases, std::vector<VerdictGroup> groups,
                                          const ExposureOptions& given) {
  ExposureOptions options = given;
  options.solve = wire::with_tables(given.solve);
  for (const VerdictGroup& g : groups) {
    require(g.cases.size() == g.power_w.size(), "each case of a group needs its power");
    for (const std::size_t n : g.cases) require(n < cases.size(), "a group needs cases that there are");
  }
  const auto on_ground = [&](std::size_t n) {
    const wire::Antenna& a = cases[n].wires.antenna;
    return a.wires[a.feed.wire].points.front().z_m <= 0.0;
  };
  // The least of the steps that meets the level.
  const auto seek = [&](std::span<const double> steps_m, std::optional<double> Verdict::*found, const auto& move) {
    OfVerdicts wanted;
    for (const VerdictGroup& g : groups) {
      const bool movable = std::none_of(g.cases.begin(), g.cases.end(), on_ground);
      wanted.emplace_back();
      for (const Verdict& v : g.verdicts)
        wanted.back().push_back(movable && *v.worst.ratio > 1.0 && v.worst.field.carrier && !(v.*found));
    }
    for (const double step_m : steps_m) {
      const OfVerdicts met =
          met_with([&](const wire::WireCase& wires) { return move(wires, step_m); }, wanted, cases, groups, options);
      for (std::size_t g = 0; g < groups.size(); ++g) {
        for (std::size_t v = 0; v < groups[g].verdicts.size(); ++v) {
          if (!met[g][v]) continue;
          wanted[g][v] = false;
          groups[g].verdicts[v].*found = step_m;
          groups[g].verdicts[v].text = verdict_text(groups[g].verdicts[v], groups[g].duty);
        }
      }
    }
  };
  seek(raises_m, &Verdict::raise_m, [](const wire::WireCase& wires, double up_m) {
    const wire::WireCase raised = with_raised_feed(wires, up_m);
    return Moved{raised, carrier_of(raised)};
  });
  seek(backs_m, &Verdict::back_m, [](const wire::WireCase& wires, double back_m) {
    return Moved{with_feed_set_back(wires, back_m), carrier_of(wires)};  // he stays where he was
  });
  return groups;
}

std::vector<Verdict> exposure_verdicts(std::span<const ExposureCase> cases,
                                       std::span<const std::vector<ExposureRow>> rows, const ExposureOptions& options) {
  require(cases.size() == rows.size(), "verdicts need the rows of each case");
  VerdictGroup all{exposure_verdicts(rows, options.duty), {}, {}, options.duty};
  for (std::size_t n = 0; n < cases.size(); ++n) {
    all.cases.push_back(n);
    all.power_w.push_back(cases[n].power_w);
  }
  return with_moved_base(cases, {all}, options).front().verdicts;
}

const std::vector<std::string>& exposure_caveats() {
  static const std::vector<std::string> all{
      "A reference level exceeded is not a basic restriction exceeded, and one that is met is no assurance: the levels "
      "are "
      "meant for fields without the person in them, and the model's soil and body are indicative.",
      "Local codes and licensed practice decide, not this output. With an implant ask a physician first.",
      "A level whose status is from memory or seen second-hand must be compared with the text before it is relied on.",
      "47 CFR 1.1310 also limits SAR over 1 g in head and trunk, 1.6 W/kg (general public) and 8 W/kg (occupational), "
      "of a set nearer than 20 cm, and other codes limit it over 1 g or 10 g: it is not computed here, for the model "
      "has "
      "no tissue in head and trunk, and the current in a limb says nothing of it."};
  return all;
}

}  // namespace stile::safety
