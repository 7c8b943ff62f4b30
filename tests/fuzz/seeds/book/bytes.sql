@1:16:0200
@2:0:0dffff
@5:3:ffff0001
@9:100:ffffffffff
