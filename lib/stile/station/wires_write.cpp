#include <stile/station/wires_write.hpp>

#include <sstream>

#include <toml++/toml.h>

#include <stile/base/errors.hpp>

namespace stile::station {

std::string with_calibration(std::string_view text, const std::string& file,
                             const std::vector<ConditionGround>& grounds,
                             const std::optional<double>& base_capacitance_f, const std::vector<std::string>& remarks) {
  toml::table root;
  try {
    root = toml::parse(text, file);
  } catch (const toml::parse_error& error) {
    throw ParseError({file, error.source().begin.line, error.source().begin.column}, error.description());
  }
  for (const ConditionGround& g : grounds) {
    require(g.ground.kind == wire::GroundKind::lossy, "a condition gets a lossy ground");
    const toml::table values{{"relative_permittivity", g.ground.relative_permittivity},
                             {"conductivity", g.ground.conductivity_s_m}};
    toml::array* conditions = root["condition"].as_array();
    if (conditions == nullptr) {
      if (g.condition != "as drawn")
        throw ParseError({file, 0, 0},
                         "there is no condition \"" + g.condition + "\"; the file has none, legal: \"as drawn\"");
      root.insert_or_assign("ground", values);
      continue;
    }
    bool there = false;
    for (toml::node& node : *conditions) {
      toml::table* condition = node.as_table();
      if (condition == nullptr) continue;
      const auto name = (*condition)["name"].value_or(std::string());
      if (name != g.condition) continue;
      condition->insert_or_assign("ground", values);
      there = true;
    }
    if (!there)
      throw ParseError({file, 0, 0}, "there is no condition \"" + g.condition + "\" in the file by its own name");
  }
  if (base_capacitance_f) {
    require(*base_capacitance_f >= 0.0, "the base capacitance must be >= 0");
    if (root["feed"].as_table() == nullptr) root.insert_or_assign("feed", toml::table{});
    root["feed"].as_table()->insert_or_assign("base_capacitance", *base_capacitance_f);
  }
  std::ostringstream out;
  for (const std::string& remark : remarks) out << "# " << remark << "\n";
  out << root << "\n";
  return out.str();
}

}  // namespace stile::station
