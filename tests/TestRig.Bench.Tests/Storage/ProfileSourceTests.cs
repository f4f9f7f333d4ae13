using TestRig.Bench.Files;
using TestRig.Bench.Tests.Files;
using TestRig.Core.Boards;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Storage;

public class ProfileSourceTests
{
    [Theory]
    [InlineData("dome-drive")]
    [InlineData("carillon")]
    [InlineData("tide-gauge")]
    public void A_board_is_made_of_the_kept_texts_alone(string profile)
    {
        var path = Path.Combine(Repository.Root, "profiles", $"{profile}.yaml");
        var source = ProfileLoader.Load(path, Repository.PartsFolder).Source!;
        Assert.Equal(path, source.Path);
        Assert.Equal(File.ReadAllText(path), source.Text);
        var board = ProfileLoader.Load(path, Repository.PartsFolder).Board!;
        Assert.Equal(TypesOf(board), source.Parts.Keys);
        foreach (var (name, text) in source.Parts)
            Assert.Equal(File.ReadAllText(Path.Combine(Repository.PartsFolder, $"{name}.yaml")), text);

        var again = ProfileLoader.Load(source with { Path = "/nowhere/at-all.yaml" });
        Assert.Empty(again.Errors);
        Assert.Equal(board.Name, again.Board!.Name);
        Assert.Equal(board.Channels.Select(Described), again.Board.Channels.Select(Described));
    }

    [Fact]
    public void A_part_file_beside_the_profile_hides_the_librarys_and_is_kept()
    {
        var folder = TestFolders.Create().FullName;
        var path = Path.Combine(folder, "board.yaml");
        File.Copy(Repository.DemoProfile, path);
        var own = File.ReadAllText(Path.Combine(Repository.PartsFolder, "4N25.yaml")).Replace("\nsource: ", "\nsource: own measurement; ", StringComparison.Ordinal);
        Directory.CreateDirectory(Path.Combine(folder, "parts"));
        File.WriteAllText(Path.Combine(folder, "parts", "4N25.yaml"), own);
        var source = ProfileLoader.Load(path, Repository.PartsFolder).Source!;
        Assert.Equal(own, source.Parts["4N25"]);
        var board = ProfileLoader.Load(source).Board!;
        Assert.StartsWith("own measurement; ", board.Parts.Single(part => part.Name == "OK3").Type.Source, StringComparison.Ordinal);
    }

    [Fact]
    public void A_profile_with_errors_is_no_source()
    {
        var path = Path.Combine(TestFolders.Create().FullName, "board.yaml");
        File.WriteAllText(path, "format: testrig-profile/9\n");
        var result = ProfileLoader.Load(path, Repository.PartsFolder);
        Assert.NotEmpty(result.Errors);
        Assert.Null(result.Source);
    }

    [Fact]
    public void A_part_type_that_a_kept_profile_lacks_is_an_error_of_the_profile()
    {
        var source = ProfileLoader.Load(Repository.DemoProfile, Repository.PartsFolder).Source!;
        var result = ProfileLoader.Load(source with { Parts = source.Parts.Remove("4N25") });
        Assert.Null(result.Board);
        Assert.Contains(result.Errors, error => error.File == Repository.DemoProfile && error.What == "the part library has no type '4N25'");
    }

    private static IEnumerable<string> TypesOf(Board board) =>
        board.Parts.Select(part => part.Type.Name).Concat(board.Multiplexers.Select(multiplexer => multiplexer.Type.Name)).Distinct().Order(StringComparer.Ordinal);

    private static string Described(Channel channel) =>
        $"{channel.Name} {channel.Line} {channel.MotionOn} {string.Join("; ", channel.Stages.Select(stage => $"{stage.Name} {stage.OutputName} {stage.Rise} {stage.Fall} {stage.Levels}"))}";
}
