#include "seamwright/days/loads.h"

#include <fmt/format.h>

#include <algorithm>
#include <numeric>

#include "printing/flat.h"

namespace seamwright {
namespace {

/// Mean distance between the middles of what lies on a bed.
double mean_hop_mm(std::span<const NestItem> items, std::span<const NestPlace> places) {
  std::vector<Vec2> middles;
  for (const NestPlace& place : places) {
    Vec2 sum;
    std::size_t count = 0;
    for (const Region2& region : items[place.item].outline) {
      for (const Vec2 p : region.outer) sum = sum + place.apply(p), ++count;
    }
    middles.push_back(sum / static_cast<double>(std::max<std::size_t>(1, count)));
  }
  double total = 0, pairs = 0;
  for (std::size_t i = 0; i < middles.size(); ++i) {
    for (std::size_t k = i + 1; k < middles.size(); ++k, ++pairs)
      total += norm(middles[i] - middles[k]);
  }
  return pairs > 0 ? total / pairs : 0;
}

/// Whether an item lies on the bed where it is now, to the tolerance of its footprint.
bool lies_on_bed(const NestItem& item, const BedArea& bed) {
  constexpr double kFootprintMm = 0.2;
  flat::Paths loops, blocked;
  for (const Region2& region : item.outline) {
    loops.push_back(flat::from_mm(region.outer));
    for (const Loop2& hole : region.holes) loops.push_back(flat::from_mm(hole));
  }
  for (const Loop2& loop : bed.blocked) blocked.push_back(flat::from_mm(loop));
  const flat::Paths usable = flat::grown({flat::from_mm(bed.outline)}, kFootprintMm);
  return flat::area_mm2(flat::minus(loops, usable)) < 1e-6 &&
         flat::area_mm2(flat::common(loops, flat::grown(blocked, -kFootprintMm))) < 1e-6;
}

class LoadPlanner {
 public:
  LoadPlanner(std::span<const DayPiece> pieces, std::span<const LoadPrinter> printers,
              const LoadOptions& options)
      : pieces_(pieces), printers_(printers), options_(options) {}

  Result<std::vector<Load>> run() {
    std::vector<std::size_t> left(pieces_.size());
    std::iota(left.begin(), left.end(), 0);
    // Trials first, then like with like, tall ones first.
    std::stable_sort(left.begin(), left.end(), [&](std::size_t a, std::size_t b) {
      const DayPiece &x = pieces_[a], &y = pieces_[b];
      if (x.is_trial != y.is_trial) return x.is_trial;
      return x.height_mm > y.height_mm;
    });
    std::vector<Load> loads;
    while (!left.empty()) {
      Result<Load> load = fill(candidates(left));
      if (!load) return load.error();
      std::erase_if(left, [&](std::size_t piece) {
        return std::find(load->pieces.begin(), load->pieces.end(), piece) != load->pieces.end();
      });
      loads.push_back(std::move(*load));
    }
    return loads;
  }

 private:
  std::size_t most_pieces() const {
    return options_.per_load == PerLoad::one   ? 1
           : options_.per_load == PerLoad::few ? options_.few_count
                                               : pieces_.size();
  }
  double longest_s(std::size_t printer) const {
    const double few_s = options_.per_load == PerLoad::few ? options_.few_h * 3600 : Box3::kFar;
    return std::min(few_s, printers_[printer].longest_s);
  }

  /// The first piece that is left, and those that may share its bed.
  std::vector<std::size_t> candidates(const std::vector<std::size_t>& left) const {
    const DayPiece& first = pieces_[left.front()];
    std::vector<std::size_t> chosen;
    for (const std::size_t i : left) {
      const DayPiece& piece = pieces_[i];
      if (piece.material == first.material && piece.spool_group == first.spool_group &&
          piece.is_trial == first.is_trial)
        chosen.push_back(i);
    }
    return chosen;
  }

  Result<Load> fill(const std::vector<std::size_t>& chosen) const {
    Load load = load_of({chosen.front()});
    if (std::none_of(load.print_s.begin(), load.print_s.end(),
                     [](const auto& s) { return s.has_value(); })) {
      return Error{"piece-off-bed", fmt::format("{} lies on no printer's bed; give a larger bed or "
                                                "cut it smaller",
                                                pieces_[chosen.front()].mark)};
    }
    std::size_t count = pieces_[chosen.front()].is_small ? 0 : 1;
    for (std::size_t k = 1; k < chosen.size(); ++k) {
      const std::size_t one = pieces_[chosen[k]].is_small ? 0 : 1;
      if (options_.per_load == PerLoad::one || count + one > most_pieces() ||
          !has_time_for(load, chosen[k]))
        continue;
      std::vector<std::size_t> more = load.pieces;
      more.push_back(chosen[k]);
      Load fuller = load_of(std::move(more));
      if (!is_allowed(load, fuller)) continue;
      load = std::move(fuller);
      count += one;
    }
    return load;
  }

  /// Whether one more piece may print in time, hops left out: asked before the bed is laid anew.
  bool has_time_for(const Load& load, std::size_t more) const {
    for (std::size_t p = 0; p < printers_.size(); ++p) {
      if (!load.print_s[p] || !pieces_[more].print_s[p]) continue;
      double sum_s = *pieces_[more].print_s[p];
      for (const std::size_t i : load.pieces) sum_s += *pieces_[i].print_s[p] - printers_[p].once_s;
      if (sum_s <= longest_s(p)) return true;
    }
    return false;
  }

  /// A fuller load must still go somewhere, within the time a load may take.
  bool is_allowed(const Load& before, const Load& fuller) const {
    for (std::size_t p = 0; p < printers_.size(); ++p) {
      if (before.print_s[p] && fuller.print_s[p] && *fuller.print_s[p] <= longest_s(p)) return true;
    }
    return false;
  }

  Load load_of(std::vector<std::size_t> chosen) const {
    Load load;
    load.pieces = std::move(chosen);
    const DayPiece& first = pieces_[load.pieces.front()];
    load.material = first.material;
    load.spool_group = first.spool_group;
    load.is_trial = first.is_trial;
    std::vector<NestItem> items;
    double box_mm2 = 0;
    for (const std::size_t i : load.pieces) {
      items.push_back({pieces_[i].outline});
      load.mass_g += pieces_[i].mass_g;
      load.height_mm = std::max(load.height_mm, pieces_[i].height_mm);
      for (const Region2& region : pieces_[i].outline) box_mm2 += region_area_mm2(region);
    }
    for (std::size_t p = 0; p < printers_.size(); ++p) {
      load.places.push_back(places_on(p, load, items, box_mm2));
      load.print_s.push_back(load.places.back() ? time_on(p, load, items) : std::nullopt);
    }
    return load;
  }

  std::optional<std::vector<NestPlace>> places_on(std::size_t p, const Load& load,
                                                  std::span<const NestItem> items,
                                                  double area_mm2) const {
    const LoadPrinter& printer = printers_[p];
    if (load.height_mm > printer.height_mm + 1e-6) return std::nullopt;
    for (const std::size_t i : load.pieces) {
      if (!pieces_[i].print_s[p]) return std::nullopt;
    }
    // Alone, where it was posed for a bed like this one, it stays.
    if (items.size() == 1 && lies_on_bed(items[0], printer.bed))
      return std::vector<NestPlace>{NestPlace{}};
    if (area_mm2 > loop_area_mm2(printer.bed.outline)) return std::nullopt;
    Nesting nesting =
        nest(items, printer.bed, {.clearance_mm = options_.clearance_mm, .try_count = 3});
    if (!nesting.left_out.empty()) return std::nullopt;
    return std::move(nesting.places);
  }

  std::optional<double> time_on(std::size_t p, const Load& load,
                                std::span<const NestItem> items) const {
    const LoadPrinter& printer = printers_[p];
    double sum_s = 0;
    std::vector<std::size_t> layers;
    for (const std::size_t i : load.pieces) {
      sum_s += *pieces_[i].print_s[p];
      layers.push_back(pieces_[i].layer_count);
    }
    sum_s -= static_cast<double>(load.pieces.size() - 1) * printer.once_s;
    // Layers that k pieces share have k hops; the tallest piece's last layers have none.
    std::sort(layers.begin(), layers.end());
    double hops = 0;
    std::size_t below = 0;
    for (std::size_t i = 0; i + 1 < layers.size(); ++i) {
      hops += static_cast<double>((layers[i] - below) * (layers.size() - i));
      below = layers[i];
    }
    const double hop_mm = mean_hop_mm(items, *load.places[p]);
    return sum_s + hops * (hop_mm / printer.travel_mm_per_s + printer.hop_s);
  }

  std::span<const DayPiece> pieces_;
  std::span<const LoadPrinter> printers_;
  LoadOptions options_;
};

}  // namespace

Result<std::vector<Load>> plan_loads(std::span<const DayPiece> pieces,
                                     std::span<const LoadPrinter> printers,
                                     const LoadOptions& options) {
  return LoadPlanner(pieces, printers, options).run();
}

}  // namespace seamwright
