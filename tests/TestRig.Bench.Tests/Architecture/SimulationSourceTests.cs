using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.CSharp;
using TestRig.Core.Tests.Architecture;

namespace TestRig.Bench.Tests.Architecture;

/// <summary>
/// The simulated bench must not know what the judge expects: else it would only prove that both agree with themselves.
/// </summary>
public class SimulationSourceTests
{
    private const string Simulation = "TestRig.Bench.Simulation";

    private static readonly string[] _forbiddenSpaces =
        ["TestRig.Core.Judging", "TestRig.Core.Measuring", "TestRig.Core.Diagnosing", "TestRig.Core.Link", "TestRig.Bench.Adapters.Serial", "TestRig.Bench.Exercising"];

    /// <summary>The windows that the judge judges by.</summary>
    private static readonly string[] _forbiddenTypes = ["TestRig.Core.Boards.DelayRange", "TestRig.Core.Boards.StageModel"];

    [Fact]
    public void Bench_compiles_here_so_that_the_rule_sees_what_the_compiler_sees()
    {
        // CS8795: the expressions that a source generator writes are not written here; they are no part of the rule.
        var errors = BenchSource.Compile().GetDiagnostics().Where(diagnostic => diagnostic.Severity == DiagnosticSeverity.Error && diagnostic.Id != "CS8795");
        Assert.Empty(errors.Select(error => error.ToString()));
    }

    [Fact]
    public void The_simulated_bench_uses_nothing_of_judging_measuring_or_diagnosing_and_no_judged_window() => Assert.Empty(Violations(BenchSource.Compile()));

    [Theory]
    [InlineData("static class Planted { static object Value => TestRig.Core.Judging.Verdict.Late; }")]
    [InlineData("static class Planted { static object? Value(TestRig.Core.Measuring.MeasuredDelay? value) => value; }")]
    [InlineData("static class Planted { const string Value = nameof(TestRig.Core.Diagnosing.Diagnoser); }")]
    [InlineData("static class Planted { static object Value(TestRig.Core.Boards.Stage stage) => stage.Rise.Latest; }")]
    public void A_planted_use_is_found(string code) => Assert.NotEmpty(Violations(BenchSource.Compile(("Planted.cs", $"namespace {Simulation};\n{code}"))));

    private static List<string> Violations(CSharpCompilation compilation) =>
    [
        .. from tree in compilation.SyntaxTrees
           where tree.GetText().ToString().Contains($"namespace {Simulation};", StringComparison.Ordinal)
           from use in CoreSource.TypesUsed(compilation, tree)
           let space = use.Type.ContainingNamespace?.ToDisplayString() ?? ""
           where _forbiddenSpaces.Contains(space) || _forbiddenTypes.Contains(use.Type.ToDisplayString())
           select $"{tree.FilePath}:{use.Line} uses {use.Type.ToDisplayString()}",
    ];
}
