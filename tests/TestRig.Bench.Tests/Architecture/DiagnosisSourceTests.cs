using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.CSharp;
using TestRig.Core.Tests.Architecture;

namespace TestRig.Bench.Tests.Architecture;

/// <summary>
/// What judges and diagnoses a sweep must not know what was broken for it. The core, which judges, cannot know: it refers to no bench (ArchitectureTests). Here is that the bench's own part of it has no way to ask.
/// </summary>
public class DiagnosisSourceTests
{
    private const string Simulation = "TestRig.Bench.Simulation", Campaigns = "TestRig.Bench.Campaigns", Diagnosing = "TestRig.Bench.Diagnosing";

    /// <summary>All that lies between the adapter and the diagnosis.</summary>
    private static readonly string[] _blind = [Diagnosing, "TestRig.Bench.Exercising"];

    /// <summary>A twin is simulated; it is told by the two tests below that it can be a twin of the profile only.</summary>
    private static readonly string _twinFile = Path.Combine("Diagnosing", "BoardTwin.cs");

    /// <summary>What a twin may be given: the profile, and what an adapter says of itself.</summary>
    private static readonly string[] _givenToTwin =
        ["TestRig.Core.Boards.Board", "TestRig.Core.Scheduling.ExerciseMode", "TestRig.Bench.Simulation.AdapterFigures", "TestRig.Bench.Adapters.AdapterPin", "System.Collections.Immutable.ImmutableArray<TestRig.Bench.Adapters.AdapterPin>"];

    /// <summary>And what it may be asked with: faults and steps that are thought of, and what was seen.</summary>
    private static readonly string[] _askedOfTwin =
    [
        .. _givenToTwin, "TestRig.Core.Diagnosing.BoardFault", "TestRig.Core.Diagnosing.Seen", "TestRig.Core.Diagnosing.SettlingStep", "int", "System.Collections.Immutable.ImmutableArray<string>", "System.Collections.Immutable.ImmutableArray<int>",
        "System.Collections.Immutable.ImmutableArray<TestRig.Core.Diagnosing.BoardFault>", "System.Collections.Immutable.ImmutableArray<System.Collections.Immutable.ImmutableArray<TestRig.Core.Diagnosing.BoardFault>>",
        "System.Collections.Generic.IEnumerable<TestRig.Core.Diagnosing.Seen>",
    ];

    [Fact]
    public void Sweeping_and_diagnosing_name_nothing_of_the_simulated_bench_but_the_figures_of_its_adapter() => Assert.Empty(Violations(BenchSource.Compile()));

    [Theory]
    [InlineData("Exercising", "static class Planted { static object Value => TestRig.Bench.Simulation.FaultPlan.None; }")]
    [InlineData("Diagnosing", "static class Planted { static bool Value(TestRig.Bench.Adapters.IAdapter adapter) => adapter is TestRig.Bench.Simulation.SimulatedAdapter; }")]
    [InlineData("Diagnosing", "static class Planted { const string Value = nameof(TestRig.Bench.Campaigns.Campaign); }")]
    public void A_planted_look_behind_the_captures_is_found(string folder, string code) =>
        Assert.NotEmpty(Violations(BenchSource.Compile(($"{folder}/Planted.cs", $"namespace TestRig.Bench.{folder};\n{code}"))));

    [Fact]
    public void A_twin_is_made_of_the_profile_and_an_adapters_figures_and_asked_with_what_was_seen() => Assert.Empty(TwinViolations(BenchSource.Compile(), "BoardTwin"));

    [Theory]
    [InlineData("class Planted(TestRig.Bench.Exercising.SweepResult result) { object Value => result; }")]
    [InlineData("class Planted { public object Value(TestRig.Bench.Adapters.IAdapter adapter) => adapter; }")]
    [InlineData("class Planted { public TestRig.Bench.Simulation.FaultPlan? Value { get; set; } }")]
    public void A_twin_that_could_be_told_what_is_broken_is_found(string code) =>
        Assert.NotEmpty(TwinViolations(BenchSource.Compile(("Diagnosing/Planted.cs", $"namespace {Diagnosing};\n{code}")), "Planted"));

    private static List<string> Violations(CSharpCompilation compilation) =>
    [
        .. from tree in compilation.SyntaxTrees
           where _blind.Any(space => tree.GetText().ToString().Contains($"namespace {space};", StringComparison.Ordinal)) && tree.FilePath != _twinFile
           from use in CoreSource.TypesUsed(compilation, tree)
           let space = use.Type.ContainingNamespace?.ToDisplayString() ?? ""
           where space == Campaigns || (space == Simulation && use.Type.Name != "AdapterFigures")
           select $"{tree.FilePath}:{use.Line} uses {use.Type.ToDisplayString()}",
    ];

    private static List<string> TwinViolations(CSharpCompilation compilation, string name)
    {
        var twin = compilation.GetTypeByMetadataName($"{Diagnosing}.{name}")!;
        var open = twin.GetMembers().Where(member => member.DeclaredAccessibility != Accessibility.Private).ToList();
        return
        [
            .. from method in open.OfType<IMethodSymbol>()
               let allowed = method.MethodKind == MethodKind.Constructor ? _givenToTwin : _askedOfTwin
               from parameter in method.Parameters
               where !allowed.Contains(parameter.Type.ToDisplayString().TrimEnd('?'))
               select $"{method.Name} takes a {parameter.Type.ToDisplayString()}",
            .. from field in open.OfType<IFieldSymbol>() select $"{field.Name} can be set by others",
        ];
    }
}
