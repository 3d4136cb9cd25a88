#include <fmt/format.h>

#include <cmath>

#include "handoff/report_sections.h"
#include "handoff/report_text.h"

namespace seamwright::report {
namespace {

std::string point_text(Vec3 p) {
  const auto whole = [](double mm) { return std::lround(mm); };  // no "-0"
  return fmt::format("({}, {}, {})", whole(p.x), whole(p.y), whole(p.z));
}

std::string bending_text(const SeamLoad& load) {
  const std::string all = fmt::format("{:.0f} N·mm", load.bending_nmm);
  if (load.by_rods_nmm <= 0) return all;
  return all + fmt::format(", {:.0f} of it by rods", load.by_rods_nmm);
}

std::string remedy_text(const SeamLoad& load) {
  if (load.use_ratio <= 1) return "holds";
  const std::string text =
      fmt::format("rod of {:.1f} mm through it, or strap 30 × {:.0f} mm on each side", load.rod_mm,
                  std::max(10.0, load.strap_mm));
  return load.moved ? text + ", or " + moved_words(*load.moved) : text;
}

std::string loads_table(const WearFindings& wear) {
  std::vector<std::vector<std::string>> rows;
  for (const SeamLoad& load : wear.seams) {
    rows.push_back({"<b>" + seam_name(load.seam) + "</b>",
                    text::mass(load.carried_g) + (load.is_shared ? ", shared" : ""),
                    fmt::format("{:.1f} N", load.shear_n), bending_text(load),
                    fmt::format("{:.1f} cm²", load.section.area_mm2 / 100),
                    fmt::format("{:.2f} MPa", load.pull_mpa),
                    fmt::format("{:.2f} MPa", load.shear_mpa),
                    fmt::format("{:.0f} %", 100 * load.use_ratio),
                    fmt::format("{:.2f} mm", load.sag_mm), remedy_text(load)});
  }
  return table({"Seam", "Hangs on it", "Shear", "Bending", "Area", "Pull", "Shear stress",
                "Of allowed", "Sag", ""},
               rows,
               "Computed by statics of rigid pieces and the joint faces' own area and second "
               "moments. Where other "
               "seams help (shared), the figure counts this one alone. Strengths are assumed until "
               "you put your "
               "glue's sheet into [wear].",
               {false, true, true, true, true, true, true, true, true, false});
}

std::string steps_text(const HandOff& hand_off) {
  std::string items;
  for (std::size_t i = 0; i < hand_off.wear->steps.size(); ++i) {
    const MassPoint& step = hand_off.wear->steps[i];
    items +=
        fmt::format("<li>after {}: {}, middle at {}</li>\n", joint_name(hand_off.assembly.at(i)),
                    text::mass(step.mass_g), point_text(step.middle));
  }
  return "<details><summary>Mass and centre of mass after every joint</summary><ol>" + items +
         "</ol></details>";
}

std::string wearer_text(const WearFindings& wear) {
  std::string html;
  if (wear.body_share_ratio) {
    html += fmt::format(
        "<p>That is {:.1f} % of the wearer's mass. Published guidance for loads on children's "
        "backs: at "
        "most 10 to 15 % (Brackley and Stevenson, Spine 29(19) (2004) 2184, abstract); for others "
        "ask "
        "somebody who knows the wearer's back.</p>",
        100 * *wear.body_share_ratio);
  }
  for (const double moment_nmm : wear.harness_moment_nmm)
    html += fmt::format("<p>At rest it turns about the harness point with {:.2f} N·m.</p>",
                        moment_nmm / 1000);
  return html;
}

}  // namespace

std::string wear_section(const HandOff& hand_off) {
  if (!hand_off.wear) return "";
  const WearFindings& wear = *hand_off.wear;
  std::string body =
      fmt::format(
          "<p>Glued together it weighs {} (printed mass, support off; glue, filler and fittings "
          "not counted). Its centre of mass is at {} mm of the part.</p>",
          text::mass(wear.whole.mass_g), point_text(wear.whole.middle)) +
      wearer_text(wear);
  if (wear.seams.empty()) {
    body +=
        "<p>Where it is held is not known: give [[mount]] in the job file, and each seam's "
        "bending, shear and "
        "stress are computed.</p>";
  } else {
    body += fmt::format(
                "<p>All loads are weight times {:.1f}, for stumbling and grabbing; allowed is "
                "strength over "
                "{:.1f}.</p>",
                hand_off.wear_choice.handling_ratio, hand_off.wear_choice.safety_ratio) +
            loads_table(wear);
  }
  return "<section id=\"wear\"><h2>Does it hold</h2>\n" + body + steps_text(hand_off) +
         "<p class=\"basis\">A strength figure is an estimate, not a proof: try it with twice the "
         "load before anybody "
         "stands under it or wears it. PLA creeps under steady load and softens at about 60 °C. "
         "What hangs overhead "
         "needs a second, independent tie.</p></section>\n";
}

}  // namespace seamwright::report
