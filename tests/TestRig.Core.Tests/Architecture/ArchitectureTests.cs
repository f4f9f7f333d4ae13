using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.CSharp;
using TestRig.Tests.Shared;

namespace TestRig.Core.Tests.Architecture;

/// <summary>The flow of the data is the shape of the core: who may know whom, and that nobody in it touches the outside world.</summary>
public class ArchitectureTests
{
    private const string Root = "TestRig.Core.";

    /// <summary>Folder, and the folders that it may use besides itself. Link knows no board, Captures no expectation, Judging no suspect.</summary>
    private static readonly Dictionary<string, string[]> _allowed = new()
    {
        ["Quantities"] = [],
        ["Boards"] = ["Quantities"],
        ["Link"] = ["Quantities"],
        ["Captures"] = ["Quantities", "Statistics"],
        ["Scheduling"] = ["Quantities", "Boards"],
        ["Measuring"] = ["Quantities", "Captures", "Statistics"],
        ["Judging"] = ["Quantities", "Boards", "Captures", "Measuring", "Scheduling", "Statistics"],
        ["Diagnosing.Reasoning"] = [],
        ["Diagnosing"] = ["Quantities", "Boards", "Captures", "Scheduling", "Measuring", "Judging", "Diagnosing.Reasoning"],
        ["Learning"] = ["Quantities", "Boards", "Captures", "Measuring", "Judging", "Statistics"],
        ["Trials"] = ["Quantities", "Boards", "Captures", "Measuring", "Judging", "Statistics"],
        ["Statistics"] = [],
    };

    private static readonly string[] _outside =
    [
        "System.IO", "System.Threading", "System.Threading.Tasks", "System.Net", "System.Diagnostics", "System.Console", "System.Data",
        "Microsoft.Win32", "System.IO.Ports", "System.Net.Http", "System.Net.Sockets",
    ];

    [Fact]
    public void Core_compiles_here_so_that_the_rules_see_what_the_compiler_sees()
    {
        var errors = CoreSource.Compile().GetDiagnostics().Where(diagnostic => diagnostic.Severity == DiagnosticSeverity.Error);
        Assert.Empty(errors.Select(error => error.ToString()));
    }

    [Fact]
    public void Each_folder_of_the_core_uses_only_the_folders_in_front_of_it() => Assert.Empty(EdgeViolations(CoreSource.Compile()));

    [Fact]
    public void Core_touches_no_file_clock_thread_or_network() => Assert.Empty(PurityViolations(CoreSource.Compile()));

    [Fact]
    public void Each_namespace_of_the_core_is_its_folder()
    {
        var wrong = CoreSource.Compile().SyntaxTrees
            .Where(tree => tree.FilePath.Contains(Path.DirectorySeparatorChar, StringComparison.Ordinal))
            .Where(tree => !tree.GetText().ToString().Contains($"namespace {Root}{Folder(tree)};", StringComparison.Ordinal))
            .Select(tree => tree.FilePath);
        Assert.Empty(wrong);
    }

    [Theory]
    [InlineData("Captures", "static class Planted { static object Value => TestRig.Core.Judging.Verdict.Late; }")]
    [InlineData("Link", "static class Planted { const string Value = nameof(TestRig.Core.Boards.Board); }")]
    [InlineData("Judging", "static class Planted { static object? Value(TestRig.Core.Diagnosing.Diagnosis? value) => value; }")]
    [InlineData("Quantities", "static class Planted { static object Value => default(TestRig.Core.Captures.Change).Level; }")]
    [InlineData("Diagnosing.Reasoning", "static class Planted { const string Value = nameof(TestRig.Core.Boards.Board); }")]
    public void A_planted_edge_is_found(string folder, string code) =>
        Assert.NotEmpty(EdgeViolations(CoreSource.Compile(($"{folder.Replace('.', '/')}/Planted.cs", $"namespace {Root}{folder};\n{code}"))));

    [Theory]
    [InlineData("static class Planted { static void Run(Stream stream) => stream.Flush(); }")]
    [InlineData("static class Planted { static Task? Value; }")]
    [InlineData("static class Planted { static object Value => System.Diagnostics.Stopwatch.StartNew(); }")]
    public void A_planted_touch_of_the_outside_is_found(string code) =>
        Assert.NotEmpty(PurityViolations(CoreSource.Compile(("Judging/Planted.cs", $"namespace {Root}Judging;\n{code}"))));

    [Fact]
    public void Projects_refer_to_each_other_only_towards_the_core()
    {
        var references = new Dictionary<string, string[]>
        {
            ["src/TestRig.Core/TestRig.Core.csproj"] = [],
            ["src/TestRig.Bench/TestRig.Bench.csproj"] = ["TestRig.Core"],
            ["src/TestRig/TestRig.csproj"] = ["TestRig.Bench", "TestRig.Core"],
        };
        foreach (var (project, expected) in references)
        {
            var document = System.Xml.Linq.XDocument.Load(Path.Combine(RepositoryRoot.Path, project));
            var actual = document.Descendants("ProjectReference").Select(item => Path.GetFileNameWithoutExtension(item.Attribute("Include")!.Value)).Order(StringComparer.Ordinal);
            Assert.Equal(expected, actual);
        }
    }

    private static string Folder(SyntaxTree tree) => string.Join('.', tree.FilePath.Split('/', '\\')[..^1]);

    private static List<string> EdgeViolations(CSharpCompilation compilation) =>
    [
        .. from tree in compilation.SyntaxTrees
           where _allowed.ContainsKey(Folder(tree))
           from use in CoreSource.TypesUsed(compilation, tree)
           let space = use.Type.ContainingNamespace?.ToDisplayString() ?? ""
           where space.StartsWith(Root, StringComparison.Ordinal)
           let target = space[Root.Length..]
           where target != Folder(tree) && !_allowed[Folder(tree)].Contains(target)
           select $"{tree.FilePath}:{use.Line} uses {use.Type.Name} of {target}",
    ];

    private static List<string> PurityViolations(CSharpCompilation compilation) =>
    [
        .. from tree in compilation.SyntaxTrees
           from use in CoreSource.TypesUsed(compilation, tree)
           let space = use.Type.ContainingNamespace?.ToDisplayString() ?? ""
           where _outside.Contains(space) || use.Type.ToDisplayString() is "System.Console" or "System.Environment"
           select $"{tree.FilePath}:{use.Line} uses {use.Type.ToDisplayString()}",
    ];
}
