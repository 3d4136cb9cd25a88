#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <set>

#include "handoff/report_sections.h"
#include "handoff/report_text.h"
#include "seamwright/handoff/shopping.h"

namespace seamwright::report {
namespace {

using Rows = std::vector<std::vector<std::string>>;

constexpr double kLongPullMm = 1000;  // common practice, no source
constexpr double kMostTurnDeg = 360;  // between pull points: NFPA 70 358.26 (memory)

std::string bold(const std::string& name) {
  return "<b>" + text::escaped(name) + "</b>";
}

std::string bend_text(double bend_mm) {
  return bend_mm > 1000 ? "straight" : fmt::format("{:.0f} mm", bend_mm);
}

/// What the way is made of, and whether anything of it is printed apart.
std::string way_text(const Channel& channel) {
  if (channel.kind == "clips") return "clips, printed with the piece";
  if (channel.kind == "trough") return "trough, its lid printed apart";
  if (channel.roofed_mm <= 0) return text::escaped(channel.kind);
  return text::escaped(channel.kind) + ", " + text::length(channel.roofed_mm) +
         " of it roofed: it lies there while its piece prints";
}

std::string wall_text(const Channel& channel) {
  if (channel.kind == "clips") return "open";
  return std::isfinite(channel.least_wall_mm) ? fmt::format("{:.1f} mm", channel.least_wall_mm)
                                              : "–";
}

std::string fill_text(const Channel& channel) {
  if (channel.size.bundle_mm <= 0) return "–";
  const double ratio = channel.size.fill_ratio * channel.size.bore_mm * channel.size.bore_mm /
                       (channel.diameter_mm * channel.diameter_mm);
  return fmt::format("{:.0f} of {:.0f} %", 100 * ratio, 100 * channel.size.fill_limit_ratio);
}

std::string drop_text(const Channel& channel) {
  if (channel.drop.empty()) return "–";
  const VoltDrop& drop = channel.drop.front();
  return fmt::format("{:.2f} V, {:.1f} %; {:.2f} Ω", drop.drop_v, 100 * drop.drop_ratio,
                     drop.loop_ohm);
}

std::string crossings_text(const HandOff& hand_off, std::size_t channel) {
  std::string all;
  for (const SeamCrossing& crossing : hand_off.crossings) {
    if (crossing.channel != channel) continue;
    all += fmt::format("{}{} at {:.0f}°", all.empty() ? "" : ", ", seam_name(crossing.seam),
                       crossing.angle.degrees());
  }
  for (const SeamRun& run : hand_off.seam_runs) {
    if (run.channel != channel) continue;
    all += fmt::format("{}{} beside it for {:.0f} mm", all.empty() ? "" : ", ", seam_name(run.seam),
                       run.length_mm);
  }
  return all.empty() ? "none" : all;
}

std::string channel_table(const HandOff& hand_off) {
  if (hand_off.channels.empty()) return "";
  Rows rows;
  for (std::size_t i = 0; i < hand_off.channels.size(); ++i) {
    const Channel& channel = hand_off.channels[i];
    rows.push_back({bold(channel.name), way_text(channel), text::length(channel.length_mm),
                    fmt::format("{:.1f} mm", channel.diameter_mm),
                    text::escaped(channel.governed_by), fill_text(channel), wall_text(channel),
                    bend_text(channel.least_bend_mm), fmt::format("{:.0f}°", channel.bend_turn_deg),
                    crossings_text(hand_off, i), drop_text(channel)});
  }
  return table({"Name", "Way", "Length", "Bore", "decided by", "Filled", "Least wall", "Least bend",
                "Turns in all", "Crosses", "Volt drop"},
               rows,
               "Computed on the part as it will be printed. What decided a bore's width: the width "
               "you gave, "
               "the fill limit, the bundle, a connector that is to pass, or wires that might jam. "
               "Fill limits: 53, 31, 40 % for one, two, "
               "more wires (NFPA 70 chapter 9 table 1). Bends: six bundle diameters "
               "(NASA-STD-8739.4) and 15 mm. Volt drop there and back at 20 °C, slack included; 3 "
               "and 5 % are advice.",
               {false, false, true, true, false, true, true, true, true, false, true});
}

/// The piece that holds a channel which crosses no seam: the one with its walls.
std::string holding_piece(const HandOff& hand_off, std::size_t channel) {
  const Origin wall{OriginKind::channel, static_cast<std::uint32_t>(channel)};
  for (std::size_t p = 0; p < hand_off.pieces.size(); ++p) {
    const auto& origins = hand_off.pieces[p].keyed.origins();
    if (std::find(origins.begin(), origins.end(), wall) != origins.end())
      return mark_chip(hand_off, p) + " alone";
  }
  return "one piece";
}

/// The pieces a wire passes, with the seams between them: the order of threading.
std::string threading_text(const HandOff& hand_off, std::size_t channel) {
  std::string way;
  for (const SeamCrossing& crossing : hand_off.crossings) {
    if (crossing.channel != channel) continue;
    if (way.empty()) way = mark_chip(hand_off, to_index(crossing.before));
    way += fmt::format(" <small>{}</small> {}", seam_name(crossing.seam),
                       mark_chip(hand_off, to_index(crossing.after)));
  }
  return way.empty() ? holding_piece(hand_off, channel) : way;
}

bool is_laid_in(const Channel& channel) {
  return channel.kind == "trough" || channel.kind == "clips";
}

/// The longest way from opening to opening while the pieces are apart: its ends and its seams.
double longest_stretch_mm(const HandOff& hand_off, std::size_t channel) {
  double longest_mm = 0, last_mm = 0;
  for (const SeamCrossing& crossing : hand_off.crossings) {
    if (crossing.channel != channel) continue;
    longest_mm = std::max(longest_mm, crossing.way_mm - last_mm);
    last_mm = crossing.way_mm;
  }
  return std::max(longest_mm, hand_off.channels[channel].length_mm - last_mm);
}

std::string pull_text(const HandOff& hand_off, std::size_t i) {
  const Channel& channel = hand_off.channels[i];
  if (channel.kind == "spar") return "Push the rod in.";
  if (is_laid_in(channel)) return "Laid in from above, nothing to pull.";
  const double stretch_mm = longest_stretch_mm(hand_off, i);
  std::string pull = "Longest pull " + text::length(stretch_mm);
  if (stretch_mm < channel.length_mm - 1)
    pull +=
        fmt::format(" through one piece, {} once all is glued", text::length(channel.length_mm));
  pull += fmt::format("; {:.0f}° of bends.", channel.bend_turn_deg);
  if (channel.length_mm > kLongPullMm || channel.bend_turn_deg > kMostTurnDeg)
    pull += " Long or winding: pull it through piece by piece before gluing.";
  return pull;
}

std::string threading_list(const HandOff& hand_off) {
  std::string items;
  for (std::size_t i = 0; i < hand_off.channels.size(); ++i) {
    const Channel& channel = hand_off.channels[i];
    items += fmt::format(
        "<li>{}: {}. From {} to {}. {}</li>\n", bold(channel.name), threading_text(hand_off, i),
        text::escaped(channel.from.empty() ? "end" : channel.from),
        text::escaped(channel.to.empty() ? "end" : channel.to), pull_text(hand_off, i));
  }
  if (items.empty()) return "";
  return "<h3>Threading order</h3>\n<p>Leave a draw-string in every channel before its pieces are "
         "glued; the holes widen at each seam, so that a string pushed through one piece finds the "
         "next.</p>\n<ul>" +
         items + "</ul>\n";
}

/// Which channels open where, piece by piece.
std::string ends_by_piece(const HandOff& hand_off) {
  std::map<std::size_t, std::string> ends;
  for (const SeamCrossing& crossing : hand_off.crossings) {
    for (const PieceId piece : {crossing.before, crossing.after}) {
      std::string& list = ends[to_index(piece)];
      list += fmt::format("{}{} at {} ({:.0f} mm along)", list.empty() ? "" : "; ",
                          bold(hand_off.channels[crossing.channel].name), seam_name(crossing.seam),
                          crossing.way_mm);
    }
  }
  Rows rows;
  for (const auto& [piece, list] : ends) rows.push_back({mark_chip(hand_off, piece), list});
  if (rows.empty()) return "";
  return "<h3>Channel ends in each piece</h3>\n" + table({"Piece", "Open at its seams"}, rows, "");
}

std::string pass_text(const Channel& channel) {
  const WireSpec& wire = channel.wire;
  if (!wire.connector_mm) return "none given";
  const double needed_mm = threaded_bore_mm(*wire.connector_mm, channel.least_bend_mm);
  const Vec3 box = *wire.connector_mm;
  const bool passes = needed_mm <= channel.diameter_mm + 1e-6;
  return fmt::format("{:g} × {:g} × {:g} mm: {} (it needs a bore of {:.1f} mm)", box.x, box.y,
                     box.z, passes ? "passes when threaded" : "crimp on after pulling", needed_mm);
}

std::string harness_list(const HandOff& hand_off) {
  Rows rows;
  std::map<std::string, double> metres;
  for (const Channel& channel : hand_off.channels) {
    if (channel.kind == "spar") continue;
    std::string conductors;
    for (const std::string& text : channel.wire.conductors) {
      conductors += (conductors.empty() ? "" : ", ") + text::escaped(text);
      const Result<Conductors> read = read_conductors(text);
      if (read)
        metres[fmt::format("AWG {}", read->gauge)] += read->count * cut_length_mm(channel) / 1000;
    }
    rows.push_back({bold(channel.name), conductors.empty() ? "yours" : conductors,
                    text::length(cut_length_mm(channel)),
                    fmt::format("2 × {:.0f} mm", channel.wire.slack_mm), pass_text(channel),
                    channel.lid_mm.x > 0
                        ? fmt::format("lid {:.0f} × {:.1f} × {:.1f} mm", channel.lid_mm.x,
                                      channel.lid_mm.y, channel.lid_mm.z)
                        : "–"});
  }
  if (rows.empty()) return "";
  std::string sums;
  for (const auto& [gauge, length_m] : metres)
    sums += fmt::format("{}{:.2f} m of {}", sums.empty() ? "In all " : ", ", length_m, gauge);
  return "<h3>Harness: what to cut</h3>\n" +
         table({"Wire", "Conductors", "Cut each to", "Slack in it", "Connector", "Lid"}, rows,
               sums.empty() ? "" : sums + ".", {false, false, true, true, false, false});
}

std::string pocket_table(const HandOff& hand_off) {
  if (hand_off.pockets.empty()) return "";
  Rows rows;
  for (const Pocket& pocket : hand_off.pockets) {
    rows.push_back({bold(pocket.name), std::string(name_of(pocket.shape)),
                    pocket.shape == PocketShape::round
                        ? fmt::format("⌀ {:.1f} mm", pocket.size_mm.x)
                        : fmt::format("{:.1f} × {:.1f} mm", pocket.size_mm.x, pocket.size_mm.y),
                    fmt::format("{:.1f} mm", pocket.module_depth_mm),
                    fmt::format("{:.1f} mm", pocket.size_mm.z),
                    pocket.has_boss ? "boss behind the wall" : "in the body",
                    fmt::format("{:.0f}, {:.0f}, {:.0f}", pocket.at.x, pocket.at.y, pocket.at.z)});
  }
  return "<h3>Pockets</h3>\n" +
         table(
             {"Name", "Shape", "Hole", "Module", "With cable room", "Stands", "At, mm"}, rows,
             "Hole sizes contain the fit's clearance; seats of common modules are common practice, "
             "no source. Print one seat as a trial.",
             {false, false, true, true, true, false, true});
}

/// Finds room for names beside their places, so that none lies over another or over a pocket.
class NamePlaces {
 public:
  explicit NamePlaces(Vec2 size) : size_(size) {}

  void keep_free(Vec2 at) { taken_.push_back({at - Vec2{9, 9}, at + Vec2{9, 9}}); }

  /// A drawn line that names had better not hide.
  void keep_free(const std::vector<Vec2>& line) {
    constexpr double kStepPx = 8;
    for (std::size_t i = 0; i + 1 < line.size(); ++i) {
      const Vec2 way = line[i + 1] - line[i];
      const double steps = std::ceil(std::hypot(way.x, way.y) / kStepPx);
      for (double k = 0; k < steps; ++k) {
        const Vec2 at = line[i] + way * (k / steps);
        taken_.push_back({at - Vec2{4, 4}, at + Vec2{4, 4}});
      }
    }
  }

  /// The name, with a line to its place where that is not beside it.
  std::string name_at(Vec2 at, const std::string& name, bool is_strong) {
    const double width =
        (is_strong ? kStrongLetterPx : kLetterPx) * static_cast<double>(name.size());
    Box best{};
    double least = 1e18;
    for (double away = 12; away <= 132; away += 15) {
      for (int k = 0; k < 12; ++k) {
        const double angle = (k * 5 % 12) * std::numbers::pi / 6 - 0.5;
        const Vec2 middle{at.x + std::cos(angle) * (away + width / 2),
                          at.y + std::sin(angle) * (away + kLinePx / 2)};
        const Box box{middle - Vec2{width, kLinePx} / 2, middle + Vec2{width, kLinePx} / 2};
        const double badness = 1000 * overlap(box) + away;
        if (badness < least) least = badness, best = box;
      }
    }
    taken_.push_back(best);
    const Vec2 start{best.low.x, best.high.y - 5};
    const Vec2 near{std::clamp(at.x, best.low.x, best.high.x),
                    std::clamp(at.y, best.low.y, best.high.y)};
    std::string marks;
    if (std::hypot(near.x - at.x, near.y - at.y) > 26)
      marks = fmt::format("<line x1=\"{:.0f}\" y1=\"{:.0f}\" x2=\"{:.0f}\" y2=\"{:.0f}\"></line>",
                          at.x, at.y, near.x, near.y);
    return marks + fmt::format("<text x=\"{:.0f}\" y=\"{:.0f}\"{}>{}</text>", start.x, start.y,
                               is_strong ? "" : " class=\"of-way\"", text::escaped(name));
  }

 private:
  static constexpr double kLetterPx = 10, kStrongLetterPx = 11.5, kLinePx = 22;
  struct Box {
    Vec2 low, high;
  };
  /// How much of the box lies over others or outside the picture.
  double overlap(const Box& box) const {
    const auto common = [&](const Box& other) {
      const double x = std::min(box.high.x, other.high.x) - std::max(box.low.x, other.low.x),
                   y = std::min(box.high.y, other.high.y) - std::max(box.low.y, other.low.y);
      return x > 0 && y > 0 ? x * y : 0.0;
    };
    double sum = (box.high.x - box.low.x) * (box.high.y - box.low.y) - common({{0, 0}, size_});
    for (const Box& other : taken_) sum += common(other);
    return sum;
  }
  Vec2 size_;
  std::vector<Box> taken_;
};

/// A picture with the ways drawn over it and the names beside them.
std::string wiring_figure(const HandOff& hand_off, const WiringPicture& shown,
                          const std::string& caption) {
  const double w = shown.picture.size.width, h = shown.picture.size.height;
  std::string marks;
  NamePlaces places({w, h});
  for (std::size_t i = 0; i < shown.ways.size(); ++i) {
    std::string points;
    std::vector<Vec2> line;
    for (const Vec2 p : shown.ways[i]) {
      line.push_back({p.x * w, p.y * h});
      points += fmt::format("{:.1f},{:.1f} ", p.x * w, p.y * h);
    }
    places.keep_free(line);
    marks += fmt::format(
        "<polyline class=\"halo\" points=\"{0}\"></polyline><polyline points=\"{0}\"></polyline>",
        points);
  }
  for (const Vec2 p : shown.pockets)
    marks += fmt::format("<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"7\"></circle>", p.x * w, p.y * h);
  for (const Vec2 p : shown.pockets) places.keep_free({p.x * w, p.y * h});
  for (std::size_t i = 0; i < shown.pockets.size(); ++i)
    marks += places.name_at({shown.pockets[i].x * w, shown.pockets[i].y * h},
                            hand_off.pockets[i].name, true);
  for (std::size_t i = 0; i < shown.ways.size(); ++i) {
    if (shown.ways[i].empty()) continue;
    const Vec2 middle = shown.ways[i][shown.ways[i].size() / 2];
    marks += places.name_at({middle.x * w, middle.y * h}, hand_off.channels[i].name, false);
  }
  return fmt::format(
      "<figure class=\"wiring\"><svg viewBox=\"0 0 {0:.0f} {1:.0f}\" role=\"img\" "
      "aria-label=\"{2}\"><image width=\"{0:.0f}\" height=\"{1:.0f}\" "
      "href=\"data:image/png;base64,{3}\"></image>{4}</svg><figcaption>{2}</figcaption></figure>\n",
      w, h, text::escaped(caption), text::base64(shown.picture.png), marks);
}

/// Each channel laid out straight, its seams where they come: what to mark on the wire.
std::string strip_drawing(const HandOff& hand_off) {
  double longest_mm = 0;
  for (const Channel& channel : hand_off.channels)
    longest_mm = std::max(longest_mm, channel.length_mm);
  if (longest_mm <= 0) return "";
  constexpr double kWidth = 1000, kLeft = 190, kRow = 46;
  const double scale = (kWidth - kLeft - 90) / longest_mm;
  std::string body;
  for (std::size_t i = 0; i < hand_off.channels.size(); ++i) {
    const Channel& channel = hand_off.channels[i];
    const double y = kRow * static_cast<double>(i) + 26, end = kLeft + scale * channel.length_mm;
    body += fmt::format(
        "<text x=\"{:.0f}\" y=\"{:.0f}\" text-anchor=\"end\">{}</text><line class=\"way\" "
        "x1=\"{:.0f}\" x2=\"{:.1f}\" y1=\"{:.0f}\" y2=\"{:.0f}\"></line><text x=\"{:.1f}\" "
        "y=\"{:.0f}\">{:.0f} mm</text>",
        kLeft - 10, y + 5, text::escaped(channel.name), kLeft, end, y, y, end + 8, y + 5,
        channel.length_mm);
    for (const SeamCrossing& crossing : hand_off.crossings) {
      if (crossing.channel != i) continue;
      const double x = kLeft + scale * crossing.way_mm;
      body += fmt::format(
          "<line class=\"seam\" x1=\"{0:.1f}\" x2=\"{0:.1f}\" y1=\"{1:.0f}\" "
          "y2=\"{2:.0f}\"></line><text "
          "class=\"small\" x=\"{0:.1f}\" y=\"{3:.0f}\" text-anchor=\"middle\">{4} {5:.0f}</text>",
          x, y - 9, y + 9, y - 12, seam_name(crossing.seam), crossing.way_mm);
    }
  }
  return fmt::format(
      "<figure class=\"strips\"><svg viewBox=\"0 0 {:.0f} {:.0f}\" role=\"img\" aria-label=\"Each "
      "channel laid out straight\">{}</svg><figcaption>Each channel laid out straight, in "
      "millimetres from its first end, with the seams it crosses.</figcaption></figure>\n",
      kWidth, kRow * static_cast<double>(hand_off.channels.size()) + 20, body);
}

constexpr std::string_view kStyle = R"css(<style>
.wiring svg,.strips svg{width:100%;height:auto;display:block}
.wiring polyline{fill:none;stroke:#b4472d;stroke-width:3;stroke-dasharray:9 5}
.wiring polyline.halo{stroke:#fffefb;stroke-width:6;stroke-dasharray:none;opacity:.7}
.wiring circle{fill:#fffefb;stroke:#b4472d;stroke-width:3}
.wiring text{font:600 19px "Gill Sans",Optima,"Noto Sans",sans-serif;fill:#2b2530;paint-order:stroke;stroke:#fffefb;stroke-width:5}
.wiring text.of-way{font-weight:400;font-style:italic}.wiring line{stroke:#2b2530;stroke-width:1}
.strips text{font:15px "Gill Sans",Optima,"Noto Sans",sans-serif;fill:#2b2530}
.strips .small{font-size:12px;fill:#6f6774}
.strips .way{stroke:#b4472d;stroke-width:4}.strips .seam{stroke:#2b2530;stroke-width:2}
</style>
)css";

constexpr std::string_view kCautions =
    "<p class=\"notice\"><b>Current, fuse, battery.</b> Size every conductor for its current by "
    "its "
    "maker's sheet, and put a fuse near the battery or supply that opens before the thinnest wire "
    "behind it is harmed. Bundled wires in a closed channel shed their heat badly. Tie wires so "
    "that "
    "no joint is pulled, insulate every joint, and keep wires out of reach of sharp edges. A "
    "lithium "
    "pack needs its protection circuit, its own charger and a place where it can be dropped "
    "quickly; "
    "PLA round a warm module softens at about 60 °C. Local codes and licensed practice come "
    "first.</p>\n";

}  // namespace

std::string channels_at_seam(const HandOff& hand_off, SeamId seam) {
  std::string pulled, others;
  std::set<std::size_t> named;
  for (const SeamCrossing& crossing : hand_off.crossings) {
    if (crossing.seam != seam || !named.insert(crossing.channel).second) continue;
    const Channel& channel = hand_off.channels[crossing.channel];
    std::string& list = channel.kind == "spar" || is_laid_in(channel) ? others : pulled;
    list += (list.empty() ? "" : ", ") + bold(channel.name);
  }
  std::string items;
  if (!pulled.empty())
    items += "<li>Before you glue, leave a draw-string through " + pulled + ".</li>";
  if (!others.empty()) items += "<li>See that " + others + " lines up across the seam.</li>";
  return items;
}

std::string lights_step(const HandOff& hand_off) {
  std::string pulled, seats;
  for (const Channel& channel : hand_off.channels) {
    if (channel.kind != "spar") pulled += (pulled.empty() ? "" : ", ") + bold(channel.name);
  }
  for (const Pocket& pocket : hand_off.pockets)
    seats += (seats.empty() ? "" : ", ") + bold(pocket.name);
  if (pulled.empty() && seats.empty()) return "";
  std::string items;
  if (!pulled.empty())
    items += "<li>Pull or lay in the wires, in the threading order above: " + pulled + ".</li>";
  if (!seats.empty())
    items += "<li>Try every light, then set it into its pocket: " + seats + ".</li>";
  return "<li><b>Wires and lights</b><ul>" + items + "</ul></li>\n";
}

std::string wiring_section(const HandOff& hand_off, const HandOffPictures& pictures) {
  if (hand_off.channels.empty() && hand_off.pockets.empty()) return "";
  std::string body(kStyle);
  for (std::size_t i = 0; i < pictures.wiring.size(); ++i) {
    body += wiring_figure(hand_off, pictures.wiring[i],
                          i == 0 ? "Wires and pockets from the show side; dashed lines run inside "
                                   "or behind the wall"
                                 : "The same from behind");
  }
  body += channel_table(hand_off) + strip_drawing(hand_off) + harness_list(hand_off) +
          lids_table(hand_off) + threading_list(hand_off) + ends_by_piece(hand_off) +
          pocket_table(hand_off) + std::string(kCautions);
  return section("wiring", "Wires, pockets, rods", body);
}

}  // namespace seamwright::report
