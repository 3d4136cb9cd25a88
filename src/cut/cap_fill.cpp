#include "cut/cap_fill.h"

#include <CGAL/Constrained_Delaunay_triangulation_2.h>
#include <CGAL/Constrained_triangulation_face_base_2.h>
#include <CGAL/Constrained_triangulation_plus_2.h>
#include <CGAL/Exact_predicates_exact_constructions_kernel.h>
#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Triangulation_face_base_with_info_2.h>
#include <CGAL/Triangulation_vertex_base_with_info_2.h>
#include <CGAL/property_map.h>
#include <CGAL/spatial_sort.h>

#include <numeric>
#include <optional>

#include "seamwright/core/result.h"

namespace seamwright::cut_detail {
namespace {

constexpr std::uint32_t kNone = 0xffffffffU;

struct VertexMark {
  std::uint32_t index = kNone;
};
struct FaceMark {
  std::array<int, 3> weights{};  ///< of the edge opposite each corner, seen from this face
  int winding = 0;
  bool is_known = false;
};

template <class Kernel, class Crossings>
struct TriangulationOf {
  using Vertex = CGAL::Triangulation_vertex_base_with_info_2<VertexMark, Kernel>;
  using Face = CGAL::Constrained_triangulation_face_base_2<
      Kernel, CGAL::Triangulation_face_base_with_info_2<FaceMark, Kernel>>;
  using Structure = CGAL::Triangulation_data_structure_2<Vertex, Face>;
  using Type = CGAL::Constrained_Delaunay_triangulation_2<Kernel, Structure, Crossings>;
};

using Quick = CGAL::Exact_predicates_inexact_constructions_kernel;
using Exact = CGAL::Exact_predicates_exact_constructions_kernel;
using QuickTriangulation =
    TriangulationOf<Quick, CGAL::No_constraint_intersection_requiring_constructions_tag>::Type;
using ExactTriangulation = CGAL::Constrained_triangulation_plus_2<
    TriangulationOf<Exact, CGAL::Exact_intersections_tag>::Type>;

/// Points in the order in which inserting them is fast (Hilbert curve); the sort has a fixed seed.
std::vector<std::size_t> insertion_order(const std::vector<Vec2>& points) {
  std::vector<Quick::Point_2> sites;
  sites.reserve(points.size());
  for (Vec2 p : points) sites.emplace_back(p.x, p.y);
  std::vector<std::size_t> order(points.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  using Traits =
      CGAL::Spatial_sort_traits_adapter_2<Quick, CGAL::Pointer_property_map<Quick::Point_2>::type>;
  CGAL::spatial_sort(order.begin(), order.end(), Traits(CGAL::make_property_map(sites)));
  return order;
}

template <class Triangulation>
class Filler {
 public:
  using Vertex = typename Triangulation::Vertex_handle;
  using Face = typename Triangulation::Face_handle;

  explicit Filler(const std::vector<Vec2>& points) { insert_points(points); }

  /// False when an edge is not one edge of the triangulation (quick triangulation only).
  bool insert_edges(const std::vector<SectionEdge>& edges) {
    if constexpr (std::is_same_v<Triangulation, QuickTriangulation>) {
      for (const SectionEdge& e : edges) {
        if (at_[e.from] != at_[e.to]) triangulation_.insert_constraint(at_[e.from], at_[e.to]);
      }
      return std::all_of(edges.begin(), edges.end(), [&](const SectionEdge& e) {
        return at_[e.from] == at_[e.to] || weigh(at_[e.from], at_[e.to], e.weight);
      });
    } else {
      std::vector<typename Triangulation::Constraint_id> constraints(edges.size());
      for (std::size_t i = 0; i < edges.size(); ++i) {
        const Vertex from = at_[edges[i].from], to = at_[edges[i].to];
        if (from != to) constraints[i] = triangulation_.insert_constraint(from, to);
      }
      for (std::size_t i = 0; i < edges.size(); ++i) {
        if (at_[edges[i].from] != at_[edges[i].to]) weigh_chain(edges[i], constraints[i]);
      }
      return true;
    }
  }

  CapFill take() {
    if (triangulation_.dimension() < 2) return std::move(fill_);  // no area: the edges cancel
    wind();
    for (Face f : triangulation_.finite_face_handles()) emit(f);
    return std::move(fill_);
  }

 private:
  void insert_points(const std::vector<Vec2>& points) {
    fill_.points = points;
    at_.resize(points.size());
    Face near{};
    for (std::size_t i : insertion_order(points)) {
      at_[i] = triangulation_.insert({points[i].x, points[i].y}, near);
      near = at_[i]->face();
      // The least index names a place where points coincide, whatever the order of insertion.
      at_[i]->info().index = std::min(at_[i]->info().index, static_cast<std::uint32_t>(i));
    }
    for (std::uint32_t i = 0; i < points.size(); ++i) {
      const std::uint32_t name = at_[i]->info().index;
      if (name == i && fill_.same_as.empty()) continue;
      if (fill_.same_as.empty()) {
        fill_.same_as.resize(points.size());
        std::iota(fill_.same_as.begin(), fill_.same_as.end(), 0U);
      }
      fill_.same_as[i] = name;
    }
  }

  bool weigh(Vertex from, Vertex to, int weight) {
    Face f;
    int i = 0;
    if (!triangulation_.is_edge(from, to, f, i)) return false;
    if (triangulation_.dimension() < 2) return true;  // all on one line: nothing to wind around
    const Face mirror = f->neighbor(i);
    const int mirror_i = triangulation_.mirror_index(f, i);
    const bool is_forward = f->vertex(Triangulation::ccw(i)) == from;
    f->info().weights[static_cast<std::size_t>(i)] += is_forward ? weight : -weight;
    mirror->info().weights[static_cast<std::size_t>(mirror_i)] -= is_forward ? weight : -weight;
    return true;
  }

  template <class Constraint>
  void weigh_chain(const SectionEdge& edge, Constraint constraint) {
    std::vector<Vertex> chain(triangulation_.vertices_in_constraint_begin(constraint),
                              triangulation_.vertices_in_constraint_end(constraint));
    require(chain.size() >= 2, "a constraint's chain has two ends");
    if (chain.front() != at_[edge.from]) std::reverse(chain.begin(), chain.end());
    DividedEdge divided{at_[edge.from]->info().index, at_[edge.to]->info().index, {}};
    for (std::size_t k = 0; k + 1 < chain.size(); ++k) {
      require(weigh(chain[k], chain[k + 1], edge.weight), "a constraint's chain is made of edges");
      if (k > 0) divided.between.push_back(index_of(chain[k]));
    }
    if (!divided.between.empty()) fill_.divided.push_back(std::move(divided));
  }

  std::uint32_t index_of(Vertex v) {
    if (v->info().index == kNone) {
      v->info().index = static_cast<std::uint32_t>(fill_.points.size());
      fill_.points.push_back({CGAL::to_double(v->point().x()), CGAL::to_double(v->point().y())});
    }
    return v->info().index;
  }

  /// Carries winding numbers from the unbounded face across every edge.
  void wind() {
    std::vector<Face> open{triangulation_.infinite_face()};
    open.back()->info().is_known = true;
    while (!open.empty()) {
      const Face f = open.back();
      open.pop_back();
      for (int i = 0; i < 3; ++i) {
        FaceMark& next = f->neighbor(i)->info();
        if (next.is_known) continue;
        next.is_known = true;
        next.winding = f->info().winding - f->info().weights[static_cast<std::size_t>(i)];
        open.push_back(f->neighbor(i));
      }
    }
  }

  void emit(Face f) {
    std::array<std::uint32_t, 3> corners{};
    for (int i = 0; i < 3; ++i) corners[static_cast<std::size_t>(i)] = f->vertex(i)->info().index;
    if (f->info().winding < 0) std::swap(corners[1], corners[2]);
    for (int k = std::abs(f->info().winding); k > 0; --k) fill_.triangles.push_back(corners);
  }

  Triangulation triangulation_;
  std::vector<Vertex> at_;
  CapFill fill_;
};

/// Nothing where edges cross or run through points.
std::optional<CapFill> fill_quickly(const std::vector<Vec2>& points,
                                    const std::vector<SectionEdge>& edges) {
  try {
    Filler<QuickTriangulation> filler(points);
    if (!filler.insert_edges(edges)) return std::nullopt;
    return filler.take();
  } catch (const QuickTriangulation::Intersection_of_constraints_exception&) {
    return std::nullopt;
  }
}

}  // namespace

CapFill fill_cap(const std::vector<Vec2>& points, const std::vector<SectionEdge>& edges) {
  if (edges.empty()) return {points, {}, {}, {}};
  if (auto quick = fill_quickly(points, edges)) return std::move(*quick);
  Filler<ExactTriangulation> filler(points);
  filler.insert_edges(edges);
  return filler.take();
}

}  // namespace seamwright::cut_detail
